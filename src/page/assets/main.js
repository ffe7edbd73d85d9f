// The bench page: what is open, which reed is chosen, what is saved and what is not yet.
import { ask, el, fill, Gone, say, wait } from "./parts.js";
import { Plates } from "./plates.js";
import { Entry } from "./entry.js";
import { WhatIf } from "./whatif.js";
import { begin, SetView } from "./set.js";
import { Music } from "./music.js";

const main = document.getElementById("main");
const KEPT = "freereed not saved yet";

const bench = {
  state: null,
  chosen: null,
  view: "reed",
  // Readings that could not be sent: kept over a reload, sent when the program answers again.
  unsaved: JSON.parse(sessionStorage.getItem(KEPT) ?? "[]"),

  take(state) {
    if (state.kind === undefined || (this.state?.kind === state.kind && state.news < this.state.news)) return;
    const another = this.state?.kind !== state.kind;
    this.state = state;
    if (another) build(state);
    show();
  },

  // Saves a reading. Status 0: it is kept here until the program answers.
  async save(reading) {
    try {
      const { status, answer } = await ask("enter", reading);
      if (status === 200) {
        this.take(answer);
        say(`Saved: ${reading.id}, ${reading.text || "blank"}.`);
      }
      return { status, answer };
    } catch (error) {
      if (!(error instanceof Gone)) throw error;
      this.keep([...this.unsaved, reading]);
      return { status: 0, answer: {} };
    }
  },

  keep(unsaved) {
    this.unsaved = unsaved;
    sessionStorage.setItem(KEPT, JSON.stringify(unsaved));
    trouble();
  },

  async sendUnsaved() {
    while (this.unsaved.length) {
      const [first, ...rest] = this.unsaved;
      const { status, answer } = await ask("enter", first);
      this.keep(rest);
      if (status === 200) this.take(answer);
      else say(`${first.id}: ${first.text} was not taken: the cell says something else by now, or it is wrong. Type it again.`);
    }
  },

  choose(id) {
    this.chosen = id;
    this.view = "reed";
    location.replace(`#${id}`);
    show();
  },

  // The same column of the next reed, in the order of the bench; without a column only the reed.
  next(column, step) {
    const ids = this.state.reeds.map((reed) => reed.id);
    const at = ids.indexOf(this.chosen) + step;
    if (at < 0 || at >= ids.length) return say("That was the last reed.");
    this.choose(ids[at]);
    if (column === null) return;
    const input = document.getElementById(`cell-${column}`);
    input?.closest("details")?.setAttribute("open", "");
    input?.focus();
    input?.select();
  },

  go(id) {
    this.choose(id);
    document.querySelector(`[data-id="${id}"]`)?.focus();
  },

  workOn(item) {
    this.choose(item.id);
    views.entry.work.prepare(item);
  },
};

const views = {};

function build(state) {
  document.getElementById("views").replaceChildren();
  if (state.kind === "nothing") return begin(main, state.players, () => refresh());
  const what = el("section.whatif", { "aria-label": "What if" });
  views.whatif = new WhatIf(what, bench);
  if (state.kind === "reed") return fill(main, what);
  const plates = el("section.top", { "aria-label": "The plates" });
  const entry = el("section.entry", { "aria-label": "The chosen reed" });
  views.one = el("div.one", {}, entry, what);
  views.all = el("section.set", { "aria-label": "The set", hidden: true });
  views.plates = new Plates(plates, (id) => bench.choose(id));
  views.entry = new Entry(entry, bench);
  views.set = new SetView(views.all, bench);
  const piece = el("section.set", { "aria-label": "The music", hidden: true });
  views.music = new Music(piece, bench);
  views.nodes = { reed: views.one, set: views.all, music: piece };
  fill(main, plates, Object.values(views.nodes));
  const tab = (view, label) => el("button", { type: "button", "data-view": view, onclick: () => { bench.view = view; show(); views[view]?.open?.(); } }, label);
  fill(document.getElementById("views"), tab("reed", "The reed"), tab("set", "The set"), tab("music", "The music"));
  const wanted = decodeURIComponent(location.hash.slice(1));
  const isThere = (id) => state.reeds.some((reed) => reed.id === id);
  bench.chosen = isThere(wanted) ? wanted : state.reeds[0]?.id;
}

function show() {
  const { state, chosen } = bench;
  if (state.kind === "nothing") return;
  if (state.kind === "reed") {
    document.getElementById("name").textContent = state.name;
    return details("");
  }
  document.getElementById("name").textContent = state.name;
  document.title = `${state.name} - bench page`;
  views.plates.show(state, chosen);
  views.entry.show(state, chosen);
  views.set.show(state, chosen);
  views.music.show(state);
  for (const [view, node] of Object.entries(views.nodes)) node.hidden = bench.view !== view;
  for (const tab of document.querySelectorAll("#views button")) tab.setAttribute("aria-current", tab.dataset.view === bench.view ? "page" : "false");
  progress(state.progress);
  undo(state.undo);
  trouble();
  const reed = state.reeds.find((it) => it.id === chosen);
  details(chosen, `${state.revision} ${reed?.class} ${reed?.sure} ${reed?.words}`);
}

// What a field asks for, while it is looked at.
function help(event) {
  const place = document.getElementById("help");
  const of = event.target.closest?.(".cell, .knob") ?? document.activeElement?.closest(".cell, .knob");
  const text = of?.querySelector(".help")?.textContent ?? "";
  place.textContent = text;
  place.hidden = text === "";
}

for (const kind of ["focusin", "focusout", "pointerover"]) document.addEventListener(kind, help);

let shownDetails = null;

// What is told of the chosen reed, asked anew only where it may have changed.
async function details(id, as = "") {
  const key = `${id} ${as}`;
  if (shownDetails === key) return;
  shownDetails = key;
  try {
    const { status, answer } = await ask(`reed?id=${encodeURIComponent(id)}`);
    if (shownDetails !== key) return;
    if (status === 200 && answer.knobs) {
      views.entry?.tell(answer);
      views.whatif.node.hidden = false;
      views.whatif.show(answer);
    } else {
      views.entry?.tell({});
      views.whatif.node.hidden = true;
      views.whatif.hide();
    }
  } catch (error) {
    if (!(error instanceof Gone)) throw error;
    shownDetails = null;
  }
}

let told = "";

function progress({ quick, sure, all }) {
  const words = all === 0 ? "No reed is measured yet: choose one and type what you measure." : quick < all ? `Solving the reeds: ${quick} of ${all}.` : sure < all ? `All ${all} are solved; looking at how sure each is: ${sure}.` : `All ${all} measured reeds are judged.`;
  // Counting aloud would disturb those who listen.
  document.getElementById("name").title = words;
  const part = quick < all ? "solving" : sure < all ? "weighing" : "judged";
  if (part !== told) say(words);
  told = part;
  document.body.dataset.standing = part;
}

function undo(entry) {
  const button = document.getElementById("undo");
  button.disabled = !entry;
  if (!entry) return;
  const name = (key) => bench.state.columns.find((column) => column.key === key)?.label ?? key.replace(/_(mm|hz)$/, "").replaceAll("_", " ");
  const cells = entry.cells.map(([column, before, after]) => `${name(column)} ${after || "blank"} back to ${before || "what it was"}`);
  button.textContent = `Undo ${entry.id}: ${cells.join(", ")}`;
  button.onclick = async () => {
    const { status, answer } = await ask("undo", { number: entry.number });
    if (status === 200) {
      bench.take(answer);
      say("Undone.");
    } else {
      trouble(answer.refusal?.cannot ?? "This cannot be undone.");
    }
  };
}

function trouble(more = "") {
  const { state, unsaved, gone } = bench;
  const lines = [
    gone && "The program does not answer. Start it again with the same command: this page goes on by itself.",
    unsaved.length && `Not saved yet, and kept in this window: ${unsaved.map((it) => `${it.id} ${it.text}`).join(", ")}.`,
    state?.trouble && `The files of the job cannot be read; what was read before is shown. ${state.trouble}`,
    more,
  ].filter(Boolean);
  const node = document.getElementById("trouble");
  node.hidden = lines.length === 0;
  fill(node, lines.map((line) => el("span", {}, line, " ")));
}

async function refresh() {
  const { answer } = await ask("state");
  bench.take(answer);
}

// News as they come; where the program has ended, until it is there again.
async function listen() {
  for (;;) {
    try {
      const seen = bench.state === null || bench.gone ? "" : `?seen=${bench.state.news}`;
      const { status, answer } = await ask(`state${seen}`);
      if (status !== 200) throw new Gone();
      if (bench.gone) {
        bench.gone = false;
        bench.state.news = 0;
        shownDetails = null;
        say("The program answers again.");
      }
      bench.take(answer);
      await bench.sendUnsaved();
      await wait(60);
    } catch (error) {
      if (!(error instanceof Gone)) throw error;
      bench.gone = true;
      trouble();
      await wait(700);
    }
  }
}

listen();
