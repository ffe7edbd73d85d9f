// What if: sliders with numbers; what is quick to compute is shown first, what is overtaken is not computed.
import { ask, capital, el, fill, Gone, painted, wait, why } from "./parts.js";
import { response, ruler, tongue } from "./drawing.js";

const MOST_PINS = 3;
// How long what is quick waits on the rest, to be drawn with it: one picture is sooner on the screen than two.
const SOON_MS = 20;
// How long hands must rest before it is asked what takes longer, and what takes long.
const [PAUSE_MS, REST_MS] = [120, 500];
// This window of the browser, among others that may ask.
const WINDOW = crypto.getRandomValues(new Uint32Array(1))[0];
let moves = 0;

export class WhatIf {
  constructor(node, bench) {
    Object.assign(this, { node, bench, id: null, set: new Map(), pins: [], quick: null, window: null });
    this.knobs = el("div.knobs");
    this.drawing = el("figure.drawing");
    this.ruler = el("figure.drawing");
    this.response = el("figure.drawing");
    this.words = el("div.changes", { "aria-live": "polite" });
    this.numbers = el("div.numbers");
    this.told = el("p.told-off", { role: "alert" });
    this.plan = el("div.plan");
    this.sound = el("div.sound");
    const button = (label, act, kind = "") => el(`button${kind}`, { type: "button", onclick: act }, label);
    this.buttons = el("div.row", {},
      button("Back to the reed", () => this.reset()), button("Pin", () => this.pin()), button("Plan it", () => this.planIt()),
      (this.aim = button("Take this gap as aim", () => this.takeAim())), button("Hear both", () => this.hear()));
    fill(node, el("h3", {}, "What if"), this.drawing, this.knobs, this.buttons, this.told, this.words, this.ruler, this.response, this.numbers, this.plan, this.sound);
  }

  // Shows the sliders of a reed; those that are moved stay where they are while it stays the same.
  show(details) {
    const same = this.id === details.id;
    const as = JSON.stringify(details.knobs);
    if (same && as === this.as) return;
    Object.assign(this, { id: details.id, as, pressures: details.pressures_pa, knobsOf: details.knobs });
    if (!same) {
      this.set.clear();
      this.pins = [];
      fill(this.plan);
      fill(this.sound);
      fill(this.response);
    }
    this.aim.hidden = details.pressures_pa === null;
    fill(this.knobs, details.knobs.map((knob) => this.knob(knob)));
    this.moved();
  }

  // What is under way is overtaken.
  hide() {
    Object.assign(this, { id: null, as: null, isNew: true });
    moves += 1;
  }

  knob({ key, label, unit, meaning, range, now, least, most, step, measured }) {
    const name = `knob-${key}`;
    const at = this.set.get(key) ?? now;
    const turn = (text, other) => {
      other.value = text;
      this.turn(key, text, now);
    };
    const slider = el("input", { id: `${name}-slider`, type: "range", min: least, max: most, step, value: at, "aria-label": `${label}, slider` });
    const number = el("input", { id: name, type: "text", inputmode: "decimal", value: at, autocomplete: "off", "aria-describedby": `${name}-help` });
    slider.value = at;
    slider.addEventListener("input", () => turn(slider.value, number));
    number.addEventListener("input", () => turn(number.value.trim(), slider));
    const known = measured ? "" : " (assumed or found)";
    return el("div.knob", {}, el("label", { for: name }, capital(label), el("span.unit", {}, ` ${unit}`)), slider, number,
      el("span.unseen.help", { id: `${name}-help` }, `${meaning} Now ${now} ${unit}${known}. Allowed: ${range}.`));
  }

  turn(key, text, now) {
    if (text === String(now) || text === "") this.set.delete(key);
    else this.set.set(key, text);
    this.moved();
  }

  reset() {
    this.set.clear();
    fill(this.knobs, this.knobsOf.map((knob) => this.knob(knob)));
    this.moved();
  }

  // A move: asked at once, unless an earlier one is still under way; the last one always is.
  async moved() {
    moves += 1;
    this.at ??= performance.now();
    this.isNew = true;
    this.node.setAttribute("aria-busy", "true");
    this.response.classList.add("waiting");
    if (this.busy || this.id === null) return;
    this.busy = true;
    try {
      while (this.isNew && this.id !== null) await this.once();
    } catch (error) {
      if (!(error instanceof Gone)) throw error;
      fill(this.told, "The program does not answer. Start it again: the page goes on where it was.");
    } finally {
      this.busy = false;
    }
  }

  async once() {
    const began = this.at;
    [this.isNew, this.at] = [false, null];
    const number = moves;
    // Both at once: the window need not wait until what is quick is on the screen.
    const asked = this.try("window", number);
    asked.catch(() => {});
    const quick = await this.try("quick", number);
    if (!quick) return;
    this.quick = quick;
    this.number = number;
    tongue(this.drawing, quick.tongue);
    const seen = (...what) => what.forEach((name) => performance.measure(name, { start: began }));
    let window = await Promise.race([asked, wait(SOON_MS)]);
    const together = window !== undefined;
    if (!together) {
      this.draw();
      await painted();
      seen("quick");
      if (this.isNew) return;
      window = await asked;
    }
    if (!window) return;
    this.window = { ...window, number };
    this.draw();
    await painted();
    seen(...(together ? ["quick", "window"] : ["window"]));
    if (this.isNew) return;
    this.node.setAttribute("aria-busy", "false");
    this.rest(number);
  }

  // What takes longer, once the hands rest: whole attacks, then how sure the differences are.
  async rest(number) {
    try {
      await wait(PAUSE_MS);
      if (number !== moves) return;
      const settled = await this.try("settled", number);
      if (!settled || number !== moves) return;
      this.settled = { ...settled, number };
      this.window = this.settled;
      this.draw();
      const curves = await this.try("curves", number);
      if (!curves || number !== moves) return;
      response(this.response, curves, this.pressures);
      this.response.classList.remove("waiting");
      await wait(REST_MS);
      if (number !== moves) return;
      const sure = this.set.size && (await this.try("sure", number));
      if (sure && number === moves) this.say(sure.words.map((it) => it.words));
    } catch (error) {
      if (!(error instanceof Gone)) throw error;
    }
  }

  async try(stage, number) {
    const { status, answer } = await ask("try", { turn: { window: WINDOW, number }, id: this.id, set: [...this.set], stage });
    if (status === 200) {
      fill(this.told);
      return answer;
    }
    if (!answer.overtaken) fill(this.told, why(answer));
    return null;
  }

  draw() {
    const { results } = this.quick;
    // What was computed for an earlier place of the sliders is not shown for this one.
    this.isWhole = this.window?.number === this.number;
    const window = this.window?.results;
    const state = (side, name, kind) => ({
      name, kind,
      onset: results.onset_pressure_pa[side].value, choke: results.choke_pressure_pa[side].value,
      ...(side === "before" || this.isWhole
        ? { low: window?.playable_low_pa?.[side].value ?? null, high: window?.playable_high_pa?.[side].value ?? null }
        : { low: null, high: null }),
    });
    const lines = [state("before", "as it is", "ghost")];
    if (this.set.size) lines.push(state("after", "changed", "now"));
    lines.push(...this.pins.map((pin, k) => ({ ...pin.line, name: `pin ${k + 1}`, kind: "pinned" })));
    ruler(this.ruler, lines, this.pressures);
    const all = { ...results, ...(window ?? {}) };
    if (this.set.size === 0) this.say([]);
    else this.say([...Object.values(this.isWhole ? all : results), ...(this.settled?.number === this.number ? this.settled.each.map((it) => it.t50_s) : [])].map((it) => it.words).filter(Boolean));
    this.table(all, results);
  }

  say(words) {
    if (this.set.size === 0) return fill(this.words, el("p", {}, "Move a slider: the changed reed is shown beside the reed as it is."));
    fill(this.words, el("p", {}, words.length ? "The changed reed" : "Nothing changes."), words.length ? el("ul", {}, words.map((it) => el("li", {}, it))) : null);
  }

  table(all, results) {
    const rows = [
      ["plucked", "natural_frequency_hz"], ["starts from", "onset_pressure_pa"], ["chokes above", "choke_pressure_pa"],
      ["in time from", "playable_low_pa"], ["in time up to", "playable_high_pa"],
    ].filter(([, key]) => all[key]);
    const attacks = this.settled?.each ?? [];
    const settled = ["speaks at P, after:t50_s", "level at P:level_dba_at_1m", "sounds at P at:frequency_hz"].flatMap((row) => {
      const [name, key] = row.split(":");
      return attacks.map((it) => [name.replace("P", it.pressure), it[key]]);
    });
    const cells = [...rows.map(([name, key]) => [name, all[key]]), ...settled].filter(([, it]) => it);
    const pinned = this.pins.map((_, k) => el("th", { scope: "col" }, `pin ${k + 1}`));
    const isSettled = this.settled?.number === this.number;
    const known = (it) => Object.values(results).includes(it) || (settled.some(([, other]) => other === it) ? isSettled : this.isWhole);
    const after = (it) => (this.set.size ? (known(it) ? it.after.shown : "\u2026") : "");
    fill(this.numbers,
      el("table", {}, el("caption.unseen", {}, "Results as the reed is and changed"),
        el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "result"), el("th", { scope: "col" }, "as it is"), el("th", { scope: "col" }, "changed"), pinned, el("th", { scope: "col" }, "trust"))),
        el("tbody", {}, cells.map(([name, it]) => el("tr", {}, el("th", { scope: "row" }, name), el("td", {}, it.before.shown),
          el("td", { "data-key": name }, after(it)), this.pins.map((pin) => el("td", {}, pin.shown[name] ?? "")), el("td.trust", {}, it.trust))))),
      this.pins.length ? el("ul.pins", {}, this.pins.map((pin, k) => el("li", {}, `Pin ${k + 1}: ${pin.name} `,
        el("button", { type: "button", "aria-label": `Back to it: pin ${k + 1}`, onclick: () => this.unpin(k) }, "Back to it"),
        el("button", { type: "button", "aria-label": `Take away pin ${k + 1}`, onclick: () => { this.pins.splice(k, 1); this.draw(); } }, "Take away")))) : null,
      this.window?.allowed ? el("p.caption", {}, `The player allows ${this.window.allowed} to speak.`) : null);
    this.shown = Object.fromEntries(cells.map(([name, it]) => [name, after(it)]));
    // What was pinned before it was computed whole.
    for (const pin of this.pins.filter((it) => it.number === this.number)) pin.shown = this.shown;
  }

  pin() {
    if (this.set.size === 0 || this.pins.length >= MOST_PINS) {
      return fill(this.told, this.set.size ? `No more than ${MOST_PINS} are pinned: take one away.` : "Nothing is changed: move a slider first.");
    }
    if (!this.isWhole) return fill(this.told, "Wait a moment: the window is not computed yet.");
    const value = (from, key) => from && (from[key]?.after.value ?? null);
    const line = {
      onset: value(this.quick.results, "onset_pressure_pa"), choke: value(this.quick.results, "choke_pressure_pa"),
      low: value(this.window.results, "playable_low_pa"), high: value(this.window.results, "playable_high_pa"),
    };
    const label = (key) => this.knobsOf.find((knob) => knob.key === key);
    const name = [...this.set].map(([key, text]) => `${label(key).label} ${text} ${label(key).unit}`).join(", ");
    this.pins.push({ number: this.number, line, name, set: new Map(this.set), shown: this.shown });
    this.draw();
  }

  unpin(k) {
    this.set = new Map(this.pins[k].set);
    fill(this.knobs, this.knobsOf.map((knob) => this.knob(knob)));
    this.moved();
  }

  gap() {
    return this.set.get("reed.tip_gap_mm");
  }

  // What is changed as steps for the hands.
  async planIt() {
    if (this.set.size === 0) return fill(this.told, "Nothing is changed: move a slider first. A gap is bent; thickness is filed and weight put on the tip, to the pitch that they give.");
    fill(this.plan, el("p", {}, "Planning."));
    const { status, answer } = await ask("plan", { id: this.id, set: [...this.set] });
    if (status !== 200) return fill(this.plan, el("p", {}, why(answer)));
    fill(this.told);
    const one = (plan) => (plan.refused
      ? el("p", {}, why(plan))
      : el("div", {}, el("h3", {}, capital(plan.title)), el("ol", {}, plan.steps.map((step) => el("li", {}, step))),
        el("p", {}, el("b", {}, "Stop "), plan.stop), plan.cautions.map((caution) => el("p.care", {}, caution))));
    fill(this.plan, answer.plans.map(one), answer.others.length ? el("p", {}, `No steps are planned here for ${answer.others.join(", ")}.`) : null);
  }

  async takeAim() {
    if (!this.gap()) return fill(this.told, "Move the tip gap first: the aim is the gap that it shows.");
    const { status, answer } = await ask("done", { id: this.id, operation: "", minutes: "", aimed_gap_mm: this.gap(), aimed_pluck_hz: "" });
    if (status !== 200) return fill(this.told, why(answer));
    fill(this.told, `Written down: aimed at ${this.gap()} mm.`);
    this.bench.take(answer);
  }

  async hear() {
    fill(this.sound, el("p", {}, "Rendering."));
    const response = await fetch("hear", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ id: this.id, set: [...this.set] }) });
    if (!response.ok) return fill(this.sound, el("p", {}, why(await response.json())));
    if (this.address) URL.revokeObjectURL(this.address);
    this.address = URL.createObjectURL(await response.blob());
    fill(this.sound, el("p.care", {}, "The sound of a model, not of a reed: as it is, then changed, on one scale and kept quiet. Turn the loudness down before you press play, headphones above all."),
      el("audio", { controls: true, src: this.address, "aria-label": "The reed as it is, then changed" }));
  }
}
