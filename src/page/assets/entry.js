// One reed: what is so, what to do, its readings, the player's word, work done with a stopwatch.
import { Ear } from "./ear.js";
import { ask, capital, el, fill, Gone, say, why } from "./parts.js";

export class Entry {
  // `bench` gives the state, saves, and goes to a reed.
  constructor(node, bench) {
    Object.assign(this, { node, bench, id: null, fields: new Map() });
    this.told = el("div.told");
    this.reasons = el("div.reasons");
    this.cells = el("div.cells.large");
    this.words = el("div.words", { role: "group", "aria-label": "The player's word" });
    this.more = el("details.more", {}, el("summary", {}, "Sizes, measured once, and pitch when blown"), (this.sizes = el("div.cells.small")));
    this.work = new Work(bench);
    this.ear = new Ear(this);
    fill(node, this.told, this.ear.node, this.cells, el("div.feel", {}, el("h3", {}, "The player says"), this.words), this.work.node, this.more, this.reasons);
  }

  // Shows a reed; what is being typed is left alone.
  show(state, id) {
    const reed = state.reeds.find((it) => it.id === id);
    if (!reed) return;
    if (this.id !== id || !this.fields.size) this.build(state, id);
    for (const field of this.fields.values()) field.show(reed.cells[field.column.key]);
    const feel = reed.cells.feel?.text ?? "";
    for (const button of this.words.children) button.setAttribute("aria-pressed", String(button.textContent === feel));
    this.reed = reed;
  }

  build(state, id) {
    this.id = id;
    this.fields.clear();
    this.ear.forget();
    const field = (column) => {
      const made = new Field(column, this);
      this.fields.set(column.key, made);
      return made.node;
    };
    fill(this.cells, state.columns.filter((column) => column.large).map(field));
    fill(this.sizes, state.columns.filter((column) => !column.large).map(field));
    const needs = state.reeds.find((it) => it.id === id)?.needs ?? null;
    const isSize = (name) => state.columns.some((column) => column.key === name && !column.large);
    const isOpen = state.reeds.find((it) => it.id === id)?.class === "open";
    if (isOpen && (!needs || needs.length === 0 || needs.some(isSize))) this.more.open = true;
    fill(this.words, state.feel.map((word) => el("button", { type: "button", "aria-pressed": "false", onclick: () => this.feel(word) }, word)));
    this.work.show(state, id);
  }

  async feel(word) {
    const was = this.reed?.cells.feel?.text ?? "";
    await this.bench.save({ id: this.id, column: "feel", text: was === word ? "" : word, was });
  }

  // The sentence and the action, the reasons, what to measure next.
  tell(details) {
    const { sentence, action, reasons, word, facts, shares, sure, notes, assumed } = details;
    const reed = this.reed;
    const missing = reed?.needs?.length ? `Still to measure: ${reed.needs.map(words).join(", ")}.` : null;
    const rest = reed?.wrong ?? (sentence ? null : missing ?? (reed?.class === "open" ? "Nothing of it is measured yet. Its length, width, tip gap and plucked pitch are enough to begin; every further reading sharpens what is told." : "Being solved."));
    fill(
      this.told,
      el("h2", {}, `Hole ${reed?.hole}, ${reed?.breath}, slide ${reed?.slide}`, el("span.note", {}, ` ${reed?.note ?? ""}`)),
      el("p.sentence", {}, sentence ?? rest),
      action && el("p.action", {}, el("b", {}, "Do: "), action),
      sentence && !sure && el("p.soon", {}, "How sure that is comes in a moment."),
      shares?.measure_next && el("p", {}, el("b", {}, `Measure next: ${shares.measure_next.label}. `), shares.measure_next.how),
    );
    fill(
      this.reasons,
      word && el("p", {}, capital(word), "."),
      reasons?.length ? el("div", {}, el("h3", {}, "Why"), el("ul", {}, reasons.map((it) => el("li", {}, `${capital(it.words)} (${it.surety}).`)))) : null,
      facts && table(facts),
      shares && el("div.shares", {}, el("h3", {}, `What the doubt in ${shares.of} comes from`),
        el("ul.bars", {}, shares.parts.map(({ words: of, percent }) =>
          el("li", {}, el("meter", { min: 0, max: 100, value: percent, "aria-label": of }), ` ${percent} % `, of)))),
      notes?.length ? el("details", {}, el("summary", {}, "Notes"), el("ul", {}, notes.map((it) => el("li", {}, it)))) : null,
      assumed?.length ? el("details", {}, el("summary", {}, `Assumed (${assumed.length})`), el("ul", {}, assumed.map((it) => el("li", {}, it)))) : null,
    );
  }
}

const words = (key) => key.replace(/_(mm|hz|pa|s|g|mm2)$/, "").replaceAll("_", " ");

function table(facts) {
  return el("table.facts", {}, el("caption.unseen", {}, "What was computed beside what is asked"),
    el("tbody", {}, facts.map(([what, own, asked]) => el("tr", {}, el("th", { scope: "row" }, what), el("td", {}, own), el("td.asked", {}, asked)))));
}

// One cell: saved when it is left or at Enter, refused in place.
class Field {
  constructor(column, entry) {
    Object.assign(this, { column, entry, known: { text: "", shown: "" } });
    const name = `cell-${column.key}`;
    this.input = el("input", {
      id: name, type: "text", inputmode: column.key === "measured_pluck_hz" ? "text" : "decimal", autocomplete: "off", spellcheck: "false",
      "aria-describedby": `${name}-help ${name}-told`, maxlength: 60,
      onkeydown: (event) => this.key(event), onchange: () => this.save(false),
    });
    this.told = el("p.told-off", { id: `${name}-told`, role: "alert" });
    this.from = el("span.from");
    const help = el("span.unseen.help", { id: `${name}-help` }, `${column.measure} Allowed: ${column.range}.`);
    this.node = el("div.cell", {}, el("label", { for: name }, capital(column.label), el("span.unit", {}, ` ${column.unit}`)), this.input, this.from, help, this.told);
  }

  show(cell) {
    const fresh = cell ?? { text: "", shown: "" };
    const typing = document.activeElement === this.input && this.input.value !== this.known.shown;
    if (!typing && !this.isHeard && !this.node.classList.contains("refused")) {
      this.input.value = fresh.shown;
      this.known = fresh;
    }
    if (!this.isHeard) this.from.textContent = fresh.also ? `${fresh.also}, ${fresh.file}` : (fresh.file ?? "");
  }

  // What a microphone heard: it stands in the cell, and is saved only when it is kept.
  hear(text) {
    if (document.activeElement === this.input && !this.isHeard && this.input.value !== this.known.shown) return;
    this.isHeard = true;
    this.refuse("");
    this.input.value = text;
    this.node.classList.add("heard");
    this.node.closest("details")?.setAttribute("open", "");
    this.from.textContent = "heard, not saved";
  }

  letGo() {
    if (!this.isHeard) return;
    this.isHeard = false;
    this.node.classList.remove("heard");
    this.input.value = this.known.shown;
    this.from.textContent = this.known.file ?? "";
  }

  async key(event) {
    if (event.key === "Escape") {
      if (this.isHeard) this.entry.ear.letGo();
      this.letGo();
      this.input.value = this.known.shown;
      this.refuse("");
    }
    if (event.key !== "Enter") return;
    event.preventDefault();
    if (this.isHeard) return this.entry.ear.keep();
    if (await this.save(true)) this.entry.bench.next(this.column.key, event.shiftKey ? -1 : 1);
  }

  async save() {
    const text = this.input.value.trim();
    if (text === this.known.shown) {
      this.refuse("");
      this.letGo();
      return true;
    }
    if (this.saving) return this.saving;
    // Leaving a cell does not ask again what was refused just now.
    if (text === this.refused) return false;
    this.saving = this.send(text, this.known.text);
    const saved = await this.saving;
    this.saving = null;
    return saved;
  }

  async send(text, was) {
    const { status, answer } = await this.entry.bench.save({ id: this.entry.id, column: this.column.key, text, was });
    if (status === 200 || status === 0) {
      this.refuse("");
      this.isHeard = false;
      this.node.classList.remove("heard");
      this.known = { ...this.known, shown: text, text };
      if (status === 200) this.show(answer.reeds.find((reed) => reed.id === this.entry.id)?.cells[this.column.key]);
      return true;
    }
    this.refused = text;
    const changed = answer.refusal?.changed;
    if (changed) this.both(changed);
    else this.refuse(why(answer));
    return false;
  }

  // Somebody else wrote here meanwhile: both values are shown, and one is chosen.
  both({ now, typed }) {
    const take = async (text) => {
      this.refuse("");
      this.known = { ...this.known, text: now, shown: now };
      this.input.value = text;
      await this.save();
      this.input.focus();
    };
    this.refuse(`Meanwhile it says ${now || "nothing"}; you typed ${typed}.`);
    this.told.append(
      el("button", { type: "button", onclick: () => take(now) }, `Keep ${now || "nothing"}`),
      el("button", { type: "button", onclick: () => take(typed) }, `Write ${typed}`),
    );
  }

  refuse(text) {
    if (text === "") this.refused = null;
    this.node.classList.toggle("refused", text !== "");
    this.input.setAttribute("aria-invalid", String(text !== ""));
    fill(this.told, text);
  }
}

// Work that was done, with a stopwatch.
class Work {
  constructor(bench) {
    this.bench = bench;
    this.began = null;
    this.clock = el("output.clock", { "aria-label": "Stopwatch" }, "0:00");
    this.start = el("button", { type: "button", onclick: () => this.run() }, "Start the watch");
    this.kind = el("select", { id: "work-kind" });
    this.minutes = el("input", { id: "work-minutes", type: "text", inputmode: "decimal", autocomplete: "off" });
    this.gap = el("input", { id: "work-gap", type: "text", inputmode: "decimal", autocomplete: "off" });
    this.pluck = el("input", { id: "work-pluck", type: "text", autocomplete: "off" });
    this.told = el("p.told-off", { role: "alert" });
    const field = (label, input) => el("div.cell", {}, el("label", { for: input.id }, label), input);
    this.node = el("details.work", {}, el("summary", {}, "Work done"),
      el("div.cells.small", {}, field("What was done", this.kind), field("Minutes", this.minutes), field("Aimed at gap, mm", this.gap), field("Aimed at pluck, Hz or note", this.pluck)),
      el("div.row", {}, this.start, this.clock, el("button.main", { type: "button", onclick: () => this.done() }, "Done")), this.told);
  }

  show(state, id) {
    this.id = id;
    if (!this.kind.children.length) {
      fill(this.kind, state.operations.map(({ name, meaning }) => el("option", { value: name, title: meaning }, name)));
    }
    for (const input of [this.minutes, this.gap, this.pluck]) input.value = "";
    fill(this.told);
  }

  // Filled in from a line of the list of work.
  prepare({ operation, aimed_gap_mm: gap, aimed_pluck_hz: pluck }) {
    this.node.open = true;
    this.kind.value = operation;
    this.gap.value = gap ?? "";
    this.pluck.value = pluck ?? "";
    this.start.focus();
  }

  run() {
    if (this.began === null) {
      this.began = performance.now();
      this.start.textContent = "Stop the watch";
      this.ticking = setInterval(() => this.tick(), 500);
    } else {
      clearInterval(this.ticking);
      this.minutes.value = Math.max(0.1, (performance.now() - this.began) / 60000).toFixed(1);
      this.began = null;
      this.start.textContent = "Start the watch";
    }
  }

  tick() {
    const seconds = Math.floor((performance.now() - this.began) / 1000);
    this.clock.textContent = `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
  }

  async done() {
    if (this.began !== null) this.run();
    const work = { id: this.id, operation: this.kind.value, minutes: this.minutes.value, aimed_gap_mm: this.gap.value, aimed_pluck_hz: this.pluck.value };
    try {
      const { status, answer } = await ask("done", work);
      if (status !== 200) return fill(this.told, why(answer));
      this.bench.take(answer);
      this.clock.textContent = "0:00";
      for (const input of [this.minutes, this.gap, this.pluck]) input.value = "";
      fill(this.told);
      say(`${work.operation} of ${work.id} is written down. Now measure what it has become.`);
    } catch (error) {
      if (!(error instanceof Gone)) throw error;
      fill(this.told, "The program does not answer: start it again, and press Done once more.");
    }
  }
}
