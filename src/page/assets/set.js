// The whole set: what is so, charts over pitch, the gaps that balance gives, the work in order, rounds, papers to print.
import { ask, chart, el, fill, Heavy, say, why } from "./parts.js";

const CHARTS = [
  ["window.svg", "From which to which pressure each reed speaks, with the player's soft and hard"],
  ["softest.svg", "How softly each reed starts, measured and computed, with the player's soft"],
  ["speaking.svg", "How soon each reed speaks"],
  ["pitch.svg", "How far each reed is from its pitch"],
  ["level.svg", "How loud each reed is beside its neighbours"],
];

export class SetView {
  constructor(node, bench) {
    Object.assign(this, { node, bench, revision: null, heavy: new Map() });
    this.short = el("div.short");
    this.charts = el("div.charts");
    this.work = el("div.list");
    this.gaps = el("div.gaps");
    this.rounds = el("div.rounds");
    this.tests = el("div.tests");
    this.smooth = el("input", { id: "smooth", type: "range", min: 0, max: 10, step: 0.5, value: 2, onchange: () => this.balance(), oninput: () => { this.weight.textContent = this.smooth.value; } });
    const button = (label, act) => el("button", { type: "button", onclick: act }, label);
    const paper = (name, label) => el("li", {}, el("a", { href: `paper/${name}`, target: "_blank", rel: "noopener" }, label));
    this.booklet = paper("booklet", "Booklet on the chosen reed, to teach");
    const sheet = el("a", { href: "paper/protocol.csv", target: "_blank", rel: "noopener" }, "Save the sheet to fill");
    fill(node,
      el("h2", {}, "The set"), this.short,
      el("h2", {}, "Work, in this order"), (this.aims = el("div.aims")), this.work, button("Plan anew", () => this.plan()),
      el("h2", {}, "Gaps"), el("p", {}, "To the left each reed gets the most room for itself, to the right the run over the set is even. Move the slider and let go."),
      el("div.knob", {}, el("label", { for: "smooth" }, "Roomy, or even"), this.smooth, (this.weight = el("output", { for: "smooth" }, "2"))), button("Balance the gaps", () => this.balance()), this.gaps,
      el("h2", {}, "Charts"), button("Draw the charts", () => this.draw()), this.charts,
      el("h2", {}, "Rounds: expected and measured"), button("Compare", () => this.compare()), this.rounds,
      el("h2", {}, "To test before signing off"), el("div.row", {}, button("What to test", () => this.protocol()), sheet),
      el("p.caption", {}, "The sheet is a CSV file, as freereed protocol writes it. Filled in and kept as rounds/DATE.csv beside the job it is the next round, and what it says stands here; so does what is entered on this page."), this.tests,
      el("h2", {}, "To print"), el("ul.papers", {}, paper("report", "Report for the customer and for the bench, with room to sign"), paper("card", "Card for the bench"), this.booklet),
      el("p.caption", {}, "Each takes some seconds, and opens beside the page; print it from there."));
  }

  show(state, chosen) {
    this.state = state;
    this.booklet.querySelector("a").setAttribute("href", `paper/booklet?id=${encodeURIComponent(chosen ?? "")}`);
    const lines = state.in_short ?? [];
    fill(this.short, lines.length ? lines.map(({ tone, lead, text }) => el("p", {}, lead ? el(`b.lead.${tone}`, {}, lead) : null, ` ${text.trim()}`.replace(/^ ([:;,.(])/, "$1"))) : el("p", {}, "No reed could be judged yet."));
    const list = (title, lines, open) => (lines.length ? el("details", { open: open ? true : null }, el("summary", {}, title), el("ul", {}, lines.map((it) => el("li", {}, it)))) : null);
    this.short.append(...[list("Rows that are wrong and left out", state.left_out, true), list("Notes", state.notes, false)].filter(Boolean));
    const aim = (it) => el("li", {}, el("p", {}, el("button.link", { type: "button", onclick: () => this.bench.go(it.id) }, `${it.id} ${it.note}`), ` your own aim: ${it.aimed_gap_mm ? `gap ${it.aimed_gap_mm} mm` : it.aimed_pluck_hz}. `),
      el("button", { type: "button", "aria-label": `Work on it: ${it.id}`, onclick: () => this.bench.workOn({ ...it, operation: it.aimed_gap_mm ? "regap" : "retune" }) }, "Work on it"));
    fill(this.aims, state.aims.length ? el("ul.work", {}, state.aims.map(aim)) : null);
    if (this.revision !== null && this.revision !== state.revision) {
      for (const node of [this.work, this.gaps, this.charts, this.rounds, this.tests]) node.classList.toggle("stale", node.children.length > 0);
    }
    this.revision = state.revision;
  }

  // Looked at for the first time: the work is planned.
  open() {
    if (!this.work.children.length) this.plan();
  }

  async ask(path, node, show) {
    const heavy = this.heavy.get(node) ?? new Heavy();
    this.heavy.set(node, heavy);
    const { status, answer } = await heavy.ask(path, node);
    if (answer.overtaken) return;
    if (status !== 200) return fill(node, el("p", {}, why(answer)));
    await show(answer);
  }

  // A chart of the set: a tap on a reed chooses it.
  async picture(path, words) {
    const { answer: { refused: text } } = await ask(path);
    return el("figure", {}, chart(text, words, "reed", (id) => this.bench.go(id)),
      el("figcaption", {}, `${words}. Tap a reed to go to it, or see the chart `, el("a", { href: path, target: "_blank", rel: "noopener", "aria-label": `by itself, to print or save: ${words}` }, "by itself, to print or save"), "."));
  }

  plan() {
    return this.ask("work", this.work, (answer) => {
      const item = (it) => el("li", {}, el("p", {}, el("button.link", { type: "button", onclick: () => this.bench.go(it.id) }, `${it.id} ${it.note}`), ` ${it.minutes}: `,
        it.parts.map((part, k) => (k === 0 ? el("b", {}, part) : `; ${part}`)), "."),
      el("button", { type: "button", "aria-label": `Work on it: ${it.id}`, onclick: () => this.bench.workOn(it) }, "Work on it"));
      fill(this.work, el("p", {}, answer.totals.join(" ")), el("ol.work", {}, answer.work.map(item)));
    });
  }

  balance() {
    const path = `gaps?smooth=${this.smooth.value}`;
    return this.ask(path, this.gaps, async (answer) => fill(this.gaps, el("p", {}, answer.words),
      el("ul.columns", {}, answer.bent.map((it) => el("li", {}, el("button.link", { type: "button", onclick: () => this.bench.go(it.id) }, `${it.id} ${it.note}`), `: ${it.now} to ${it.to}`))),
      await this.picture(`chart/gaps.svg?smooth=${this.smooth.value}`, "The gap of each reed now, best for itself, and as balance gives it")));
  }

  draw() {
    return this.ask(`chart/${CHARTS[0][0]}`, this.charts, async () => {
      const drawn = [];
      for (const [name, words] of CHARTS) drawn.push(await this.picture(`chart/${name}`, words));
      fill(this.charts, drawn);
    });
  }

  compare() {
    return this.ask("rounds", this.rounds, (answer) => {
      if (!answer.rows.length) return fill(this.rounds, el("p", {}, "Nothing was measured in a round yet."));
      const lines = answer.rows.flatMap(({ round, id, done, lines: of }) => of.map((cells, k) => [k ? "" : round, k ? "" : id, k ? "" : done, ...cells]));
      fill(this.rounds, table("What was done, expected and measured", ["round", ...answer.heads], lines), answer.legend ? el("p.caption", {}, answer.legend) : null);
    });
  }

  protocol() {
    return this.ask("protocol", this.tests, ({ words, before, heads, rows }) => fill(this.tests, el("p", {}, `${words}. ${before.join(" ")}`),
      table("What to test, doubtful reeds first", heads, rows), el("p.caption", {}, "It stands in the report too, to print and to fill.")));
  }
}

function table(words, heads, rows) {
  const head = el("thead", {}, el("tr", {}, heads.map((name) => el("th", { scope: "col" }, name || "so"))));
  const body = el("tbody", {}, rows.map((cells) => el("tr", {}, cells.map((cell) => el("td", {}, cell)))));
  return el("div.scroll", { tabindex: 0, role: "region", "aria-label": words }, el("table", {}, el("caption.unseen", {}, words), head, body));
}

// A new job in three questions.
export function begin(node, players, done) {
  const choose = (id, label, options) => el("div.cell", {}, el("label", { for: id }, label),
    el("select", { id }, options.map(([value, words, usual]) => el("option", { value, selected: usual ?? null }, words))));
  const told = el("p.told-off", { role: "alert" });
  const start = async () => {
    const value = (id) => document.getElementById(id).value;
    const { status, answer } = await ask("begin", { layout: value("new-layout"), key: value("new-key"), player: value("new-player") });
    if (status !== 200) return fill(told, why(answer));
    await done();
    say(`The new job lies in ${answer.folder}: open it there the next time.`);
  };
  fill(node, el("section.begin", {}, el("h2", {}, "A new job"), el("p", {}, "Three questions; all of it can be changed later in the file of the job."),
    choose("new-layout", "1. Which reeds?", [["12", "12 holes with a slide, 48 reeds", true], ["14", "14 holes with a slide, 56 reeds"], ["16", "16 holes with a slide, 64 reeds"], ["diatonic", "10 holes without a slide, 20 reeds"]]),
    choose("new-key", "2. In which key?", ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"].map((key) => [key, key])),
    choose("new-player", "3. For whom?", players.map(({ name, words, usual }) => [name, `${name}: ${words}`, usual])),
    el("button.main", { type: "button", onclick: start }, "Begin"), told));
}
