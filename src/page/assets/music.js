// A piece of music on the set: which, how fast and how high, what becomes of it, each note by its bar, how the model sounds it.
import { ask, capital, chart, el, fill, Heavy, point, say, why } from "./parts.js";

export class Music {
  constructor(node, bench) {
    Object.assign(this, { node, bench, piece: null, chosen: 0 });
    this.heavy = new Heavy();
    this.piece_of = el("select", { id: "piece", onchange: () => this.choosePiece() });
    this.file = el("input", { id: "piece-file", type: "file", accept: ".mid,.midi,audio/midi", onchange: () => this.own() });
    this.bpm = new Otherwise("piece-bpm", "Tempo", "quarter notes a minute", "decimal");
    // A keyboard for numbers alone may have no minus.
    this.semitones = new Otherwise("piece-semitones", "Higher by", "semitones, - for lower", "text");
    this.otherwise = el("form.otherwise", { onsubmit: (event) => { event.preventDefault(); this.rehearse(); } },
      this.bpm.node, this.semitones.node, el("button", { type: "submit" }, "Rehearse it so"));
    this.out = el("div.music");
    fill(node, el("h2", {}, "The music"), el("p", {}, "A piece on this set by this player: which notes speak as asked, of which reeds it asks too much, and what would serve."),
      el("div.row", {}, el("label", { for: "piece" }, "A piece of the project's"), this.piece_of, el("label", { for: "piece-file" }, "or a MIDI file of yours"), this.file), this.otherwise, this.out);
  }

  // Looked at for the first time: the pieces are asked for.
  async open() {
    if (this.piece_of.children.length) return;
    const { answer } = await ask("pieces");
    this.bpm.allow(answer.bpm);
    this.semitones.allow(answer.semitones);
    fill(this.piece_of, el("option", { value: "" }, "Choose a piece"), answer.pieces.map(({ name, words }) => el("option", { value: name }, `${name.replaceAll("-", " ")}: ${words}`)));
  }

  // What was rehearsed may not hold any more.
  show({ revision }) {
    if (this.piece && this.revision !== revision) this.out.classList.add("stale");
  }

  choosePiece() {
    if (!this.piece_of.value) return;
    this.file.value = "";
    this.begin({ piece: this.piece_of.value }, new Uint8Array());
  }

  own() {
    const [file] = this.file.files;
    if (!file) return;
    this.piece_of.value = "";
    this.begin({ name: file.name.replace(/\.midi?$/i, "") }, file);
  }

  // Another piece is played as it is written first.
  begin(which, body) {
    this.asked = { which, body };
    for (const field of [this.bpm, this.semitones]) field.clear();
    this.rehearse();
  }

  async rehearse() {
    if (!this.asked) return say("Choose a piece first.");
    const { which, body } = this.asked;
    const of = new URLSearchParams({ ...which, bpm: this.bpm.value, semitones: this.semitones.value });
    this.out.classList.remove("stale");
    const { revision } = this.bench.state;
    const { status, answer } = await this.heavy.ask(`rehearse?${of}`, this.out, body);
    if (answer.overtaken) return;
    this.piece = status === 200 ? answer : null;
    if (status !== 200) return fill(this.out, el("p.told-off", { role: "alert" }, why(answer)));
    this.bpm.own(answer.written_bpm ? `Written: ${answer.written_bpm}` : "It has the time of a film, no tempo");
    this.semitones.own("Written: 0");
    Object.assign(this, { revision, chosen: 0 });
    this.draw();
  }

  draw() {
    const { piece } = this;
    const link = (id) => el("button.link", { type: "button", onclick: () => this.bench.go(id) }, id);
    const excess = (it) => el("li", {}, el("p", {}, link(it.id), ` ${it.note}: ${point(it.words)} ${point(it.worst)} `, el("b", {}, "To serve: "), point(it.serve)));
    const off = piece.pairs_off.length;
    this.note = el("div.played");
    this.sound = el("div.sound");
    const step = (by, label) => el("button", { type: "button", onclick: () => this.choose(this.chosen + by) }, label);
    this.chart = chart(piece.chart, "The notes over time; tap one, or go by Earlier and Later", "note", (number) => this.choose(Number(number)));
    fill(this.out, el("h3", {}, `${piece.name}: ${piece.played}`), el("p", {}, piece.words.map((it) => point(it)).join(" ")),
      this.chart, el("div.row", {}, step(-1, "Earlier note"), step(1, "Later note"),
        el("button", { type: "button", onclick: () => this.hear(false) }, "Hear this note"), el("button", { type: "button", onclick: () => this.hear(true) }, "Hear ten seconds from here")),
      this.note, this.sound,
      piece.too_much.length ? el("div", {}, el("h3", {}, `It asks too much of ${piece.too_much.length === 1 ? "1 reed" : `${piece.too_much.length} reeds`}`), el("ul.work", {}, piece.too_much.map(excess))) : null,
      piece.off_in_level && el("p", {}, point(piece.off_in_level)),
      piece.pairs > 0 && el("div", {}, el("h3", {}, `${off} of ${piece.pairs} pairs that sound together are off in level or beats`), el("ul", {}, piece.pairs_off.map((it) => el("li", {}, point(it))))),
      piece.remarks.map((it) => el("p", {}, `Note: ${point(it)}`)),
      el("details", {}, el("summary", {}, "Assumed"), el("ul", {}, piece.assumed.map((it) => el("li", {}, capital(point(it)))))));
    this.choose(Math.max(0, piece.notes.findIndex((it) => it.cells.at(-1) !== "speaks")), false);
    say(point(piece.words[0]));
  }

  // What becomes of one note.
  choose(number, aloud = true) {
    const { notes, heads } = this.piece;
    if (!notes[number]) return say("There is no note beyond.");
    this.chosen = number;
    for (const bar of this.chart.querySelectorAll("[data-note]")) bar.classList.toggle("chosen", Number(bar.dataset.note) === number);
    const { id, cells } = notes[number];
    fill(this.note, el("h3", {}, `Note ${number + 1}: ${cells[2]}, ${cells.at(-1)}`),
      el("dl.cells-of", {}, heads.map((head, k) => el("div", {}, el("dt", {}, head), el("dd", {}, cells[k])))),
      id && el("button.link", { type: "button", onclick: () => this.bench.go(id) }, `Go to ${id}`));
    fill(this.sound);
    if (aloud) say(`Note ${number + 1} of ${notes.length}, ${cells[2]} at ${cells[0]}: ${cells.at(-1)}.`);
  }

  async hear(on) {
    fill(this.sound, el("p", {}, "Rendering."));
    const response = await fetch("rehearse/sound", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ number: this.piece.number, note: this.chosen, on }) });
    if (!response.ok) return fill(this.sound, el("p", {}, why(await response.json())));
    if (this.address) URL.revokeObjectURL(this.address);
    this.address = URL.createObjectURL(await response.blob());
    fill(this.sound, el("p.care", {}, this.piece.sound), el("audio", { controls: true, src: this.address, "aria-label": on ? "The passage" : "The note" }));
  }
}

// A field that plays the piece otherwise than it is written; blank as written.
class Otherwise {
  constructor(id, label, unit, inputmode) {
    this.input = el("input", { id, type: "text", inputmode, autocomplete: "off", spellcheck: "false", maxlength: 12, "aria-describedby": `${id}-help ${id}-own` });
    this.help = el("span.unseen.help", { id: `${id}-help` });
    this.written = el("span.from", { id: `${id}-own` });
    this.node = el("div.cell", {}, el("label", { for: id }, label, el("span.unit", {}, ` ${unit}`)), this.input, this.written, this.help);
  }

  get value() {
    return this.input.value;
  }

  // Says what may be typed.
  allow(range) {
    fill(this.help, `Blank: as it is written. ${capital(point(range))}`);
  }

  own(text) {
    fill(this.written, text);
  }

  clear() {
    this.input.value = "";
    this.own("");
  }
}
