// The plates as they lie: a button for each reed, with arrow keys from one to the next.
import { el, fill } from "./parts.js";

// So many holes lie side by side before the plates are shown in parts.
const MOST_HOLES = 6;

// What is said of a reed that is looked at by its button.
function label(reed) {
  const sure = reed.sure || reed.class === "open" ? "" : ", not final yet";
  return `Hole ${reed.hole}, ${reed.breath}, slide ${reed.slide}, ${reed.note ?? ""}: ${reed.words}${sure}`;
}

export class Plates {
  constructor(node, choose) {
    Object.assign(this, { node, choose, buttons: new Map(), shape: "" });
    node.addEventListener("keydown", (event) => this.move(event));
  }

  // Shows every reed as it is now; the table is built anew only where the reeds themselves are others.
  show({ reeds, rows }, chosen) {
    const shape = reeds.map((reed) => `${reed.id} ${reed.note}`).join();
    if (shape !== this.shape) this.build(reeds, rows);
    this.shape = shape;
    for (const reed of reeds) {
      const button = this.buttons.get(reed.id);
      if (!button) continue;
      button.className = ["reed", reed.class, reed.far ?? "", reed.sure ? "" : "soon"].filter(Boolean).join(" ");
      button.setAttribute("aria-label", label(reed));
      button.setAttribute("aria-pressed", String(reed.id === chosen));
      button.tabIndex = reed.id === chosen ? 0 : -1;
      button.querySelector(".sign").textContent = reed.sign;
    }
    if (!this.buttons.has(chosen)) [...this.buttons.values()].slice(0, 1).forEach((first) => { first.tabIndex = 0; });
    this.key(reeds);
  }

  build(reeds, rows) {
    const holes = [...new Set(reeds.map((reed) => reed.hole))].sort((a, b) => a - b);
    const count = Math.max(1, Math.ceil(holes.length / MOST_HOLES));
    const length = Math.ceil(holes.length / count);
    this.holes = holes;
    this.rows = rows.filter(([breath, slide]) => reeds.some((reed) => reed.breath === breath && reed.slide === slide));
    this.buttons.clear();
    this.legend = el("p.legend");
    const parts = Array.from({ length: count }, (_, k) => holes.slice(k * length, (k + 1) * length));
    fill(this.node, el("div.plates", {}, parts.map((part) => this.part(part, reeds))), this.legend);
  }

  part(holes, reeds) {
    const head = el("tr", {}, el("th.side", { scope: "col" }, "hole"), holes.map((hole) => el("th", { scope: "col" }, String(hole))));
    const row = ([breath, slide]) =>
      el(`tr.${breath}`, {}, el("th.side", { scope: "row" }, `${breath} ${slide}`), holes.map((hole) => {
        const reed = reeds.find((it) => it.hole === hole && it.breath === breath && it.slide === slide);
        return el("td", {}, reed && this.button(reed));
      }));
    const caption = `Reeds of holes ${holes[0]} to ${holes[holes.length - 1]}, blow plate above draw plate`;
    return el("table.plate", {}, el("caption.unseen", {}, caption), el("thead", {}, head), el("tbody", {}, this.rows.map(row)));
  }

  button(reed) {
    const button = el("button.reed", { type: "button", "data-id": reed.id, onclick: () => this.choose(reed.id) },
      el("span.note", { "aria-hidden": "true" }, reed.note ?? "?"), el("span.sign", { "aria-hidden": "true" }));
    this.buttons.set(reed.id, button);
    return button;
  }

  // Counts every kind under the plates.
  key(reeds) {
    const kinds = new Map();
    for (const { class: kind, sign, words } of reeds) {
      const known = kinds.get(words) ?? { kind, sign, count: 0 };
      known.count += 1;
      kinds.set(words, known);
    }
    fill(this.legend, [...kinds].map(([words, { kind, sign, count }]) =>
      el("span.of", {}, el(`b.mark.${kind}`, { "aria-hidden": "true" }, sign), ` ${words}: ${count}`)));
  }

  move(event) {
    const id = event.target.dataset?.id;
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!id || (!step && !["Home", "End"].includes(event.key))) return;
    event.preventDefault();
    const [hole, breath, slide] = id.split("-");
    let x = this.holes.indexOf(Number(hole));
    let y = this.rows.findIndex((row) => row[0] === breath && row[1] === slide);
    if (!step) x = event.key === "Home" ? -1 : this.holes.length;
    const [dx, dy] = step ?? (event.key === "Home" ? [1, 0] : [-1, 0]);
    for (;;) {
      [x, y] = [x + dx, y + dy];
      if (x < 0 || y < 0 || x >= this.holes.length || y >= this.rows.length) return;
      const next = this.buttons.get(`${this.holes[x]}-${this.rows[y].join("-")}`);
      if (next) {
        this.choose(next.dataset.id);
        next.focus();
        return;
      }
    }
  }
}
