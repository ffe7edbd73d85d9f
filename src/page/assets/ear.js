// The microphone: what sounds just now, and what can be taken over into the cells. Nothing is saved unless it is kept.
import { ask, capital, el, fill, Gone, painted, say, svg, why } from "./parts.js";

// The needle of the tuner goes so far to either side, cents.
const MOST_CENTS = 50;
// What could not be sent for so long is left out, s: an old sound is no reading.
const MOST_WAITING_S = 0.2;
// Below this nothing sounds that is meant, dB of full scale.
const QUIET_DB = -60;
// So long what is wrong is told, ms.
const ADVISED_MS = 2000;
// So many times of answers are kept to look at.
const MOST_MEASURES = 1000;
const REFUSED = {
  NotAllowedError: "The browser does not let this page use the microphone. Allow it beside the address, and press Listen again.",
  NotFoundError: "There is no microphone: plug one in, and press Listen again.",
  NotReadableError: "The microphone cannot be used: another program holds it, or the system keeps it.",
};

export class Ear {
  constructor(entry) {
    Object.assign(this, { entry, heard: null, pieces: [], number: 0, listener: null });
    this.toggle = el("button.main", { type: "button", onclick: () => (this.stream ? this.stop() : this.start()) }, "Listen");
    this.keeps = el("button", { type: "button", onclick: () => this.keep() }, "Keep, and go on");
    this.note = el("b.pitch");
    this.off = el("span.off");
    this.level = el("p.level");
    this.needle = svg("line.needle", { x1: 200, x2: 200, y1: 4, y2: 30 });
    const tick = (cents) => svg("g.tick", {}, svg("line", { x1: 200 + 3.6 * cents, x2: 200 + 3.6 * cents, y1: cents === 0 ? 8 : 16, y2: 30 }), svg("text", { x: 200 + 3.6 * cents, y: 46, "text-anchor": "middle" }, String(cents).replace("-", "\u2212")));
    this.dial = svg("svg.dial", { viewBox: "-20 0 440 50", "aria-hidden": "true" }, [-50, -25, 0, 25, 50].map(tick), this.needle);
    this.tuner = el("div.tuner", { hidden: true }, el("p.reading", {}, this.note, this.off), this.dial, this.level);
    this.advice = el("p.advice");
    this.sentence = el("p");
    this.which = el("p", { role: "status" });
    this.choice = el("div");
    this.node = el("div.ear", { role: "group", "aria-label": "The microphone" },
      el("div.row", {}, this.toggle, this.keeps), this.tuner, this.advice, el("div.told-heard", {}, this.sentence, this.which, this.choice));
    this.show();
  }

  show() {
    this.toggle.textContent = this.stream ? "Stop listening" : "Listen";
    this.tuner.hidden = !this.stream;
    this.keeps.hidden = !this.stream && !this.heard;
  }

  async start() {
    fill(this.advice);
    if (!navigator.mediaDevices?.getUserMedia || !globalThis.AudioWorkletNode) return fill(this.advice, "This browser gives no microphone to a page: type what you read on a tuner, or try a newer browser.");
    try {
      // What makes speech clear spoils a pitch and a level.
      const audio = { channelCount: 1, echoCancellation: false, noiseSuppression: false, autoGainControl: false };
      this.stream = await navigator.mediaDevices.getUserMedia({ audio });
      this.context = new AudioContext();
      await this.context.audioWorklet.addModule("ear-worklet.js");
      const gather = new AudioWorkletNode(this.context, "gather", { channelCount: 1, channelCountMode: "explicit" });
      gather.port.onmessage = ({ data }) => this.take(data);
      // It hands on silence: connected, so that it runs at all.
      this.context.createMediaStreamSource(this.stream).connect(gather).connect(this.context.destination);
    } catch (error) {
      this.stop();
      return fill(this.advice, REFUSED[error.name] ?? `The microphone cannot be used: ${error.message}`);
    }
    this.stream.getTracks().forEach((track) => track.addEventListener("ended", () => this.stop("The microphone is gone.")));
    [this.listener, this.number, this.pieces] = [crypto.getRandomValues(new Uint32Array(1))[0], 0, []];
    this.show();
    say("Listening. Pluck the reed, or blow it evenly for a second.");
  }

  // Lets the microphone go.
  stop(because = "") {
    this.stream?.getTracks().forEach((track) => track.stop());
    this.context?.close();
    const { listener } = this;
    Object.assign(this, { stream: null, context: null, listener: null, pieces: [] });
    if (listener !== null) ask("ear/stop", { listener }).catch(() => {});
    fill(this.advice, because);
    this.show();
  }

  // A piece of sound: sent at once, or with the next where one is under way.
  take(samples) {
    if (this.listener === null) return;
    this.pieces.push({ samples, began: performance.now() - (1000 * samples.length) / this.context.sampleRate });
    const most = Math.ceil((MOST_WAITING_S * this.context.sampleRate) / samples.length);
    if (this.pieces.length > most) {
      this.pieces.splice(0, this.pieces.length - most);
      // A number is left out: the program knows that sound is missing.
      this.number += 1;
    }
    this.send();
  }

  async send() {
    if (this.busy) return;
    this.busy = true;
    try {
      while (this.pieces.length && this.listener !== null) await this.once();
    } catch (error) {
      if (!(error instanceof Gone)) throw error;
      this.stop("The program does not answer. Start it again, and press Listen.");
    } finally {
      this.busy = false;
    }
  }

  async once() {
    const pieces = this.pieces.splice(0);
    const { began } = pieces[0];
    const all = new Float32Array(pieces.reduce((sum, { samples }) => sum + samples.length, 0));
    let at = 0;
    for (const { samples } of pieces) {
      all.set(samples, at);
      at += samples.length;
    }
    const { listener, entry: { id } } = this;
    const of = new URLSearchParams({ listener, number: this.number, rate_hz: this.context.sampleRate, id });
    this.number += 1;
    const { status, answer } = await ask(`ear?${of}`, all);
    if (this.listener !== listener) return;
    if (status === 503) return;
    if (status !== 200) return this.stop(why(answer));
    this.tell(answer);
    if (answer.heard && id === this.entry.id) this.hear(answer.heard);
    if (this.number % MOST_MEASURES === 0) performance.clearMeasures("ear");
    painted().then(() => performance.measure("ear", { start: began }));
  }

  // What sounds just now.
  tell({ sounding, level_db: level, advice }) {
    this.note.textContent = sounding?.note ?? "\u2013";
    this.off.textContent = sounding ? `${sounding.shown.split(" ")[1].replace("-", "\u2212")} cents` : level < QUIET_DB ? "quiet" : "no pitch yet";
    const known = sounding ? `give or take ${sounding.give_or_take}; ` : "";
    this.level.textContent = `${known}level ${String(Math.round(level)).replace("-", "\u2212")} dB of full scale; ${this.context?.sampleRate} samples a second`;
    const x = 200 + 3.6 * Math.max(-MOST_CENTS, Math.min(MOST_CENTS, sounding?.cents ?? 0));
    for (const end of ["x1", "x2"]) this.needle.setAttribute(end, x);
    this.dial.classList.toggle("idle", !sounding);
    // The next blow is another.
    if (!sounding) this.as = null;
    // Long enough to be read.
    const now = performance.now();
    if (advice) [this.advice.textContent, this.advisedAt] = [advice, now];
    else if (now - (this.advisedAt ?? 0) > ADVISED_MS) fill(this.advice);
  }

  // What can be taken over: into the cells, not saved yet; what by its pitch is another reed's only when asked.
  hear(heard) {
    const isMine = heard.is_chosen || heard.by_pitch === this.claimed;
    const as = `${heard.kind} ${isMine} ${heard.by_pitch}`;
    const isNew = heard.kind === "pluck" || this.as !== as;
    Object.assign(this, { heard, as });
    if (isNew) this.isLetGo = false;
    if (isMine && !this.isLetGo) this.fill(heard);
    if (isNew) say(`Heard: ${heard.cells[0]?.[1] ?? "no pitch"}.`);
    const button = (label, act) => el("button", { type: "button", onclick: act }, label);
    const choice = isMine ? el("p.caption", {}, "In the cells, not saved yet: Enter there, or Keep, saves it and goes on; Escape lets it go.")
      : el("div.row", {}, heard.other && button(`Go to ${heard.other}`, () => this.go(heard)), button(`It is ${this.entry.id}`, () => this.claim(heard)));
    if (isNew) fill(this.choice, choice);
    if (isNew) this.which.textContent = (heard.is_chosen || !isMine) && heard.by_pitch ? heard.by_pitch : "";
    this.sentence.textContent = capital(heard.words);
    this.show();
  }

  go(heard) {
    this.entry.bench.choose(heard.other);
    this.claim(heard);
  }

  // The user says whose it is.
  claim(heard) {
    this.claimed = heard.by_pitch;
    this.hear(heard);
    this.keeps.focus();
  }

  // What sounds on is not filled in again.
  letGo() {
    this.isLetGo = true;
  }

  fill(heard) {
    for (const [column, text] of heard.cells) this.entry.fields.get(column)?.hear(text);
  }

  // Another reed is chosen: what was heard was of the one before.
  forget() {
    Object.assign(this, { heard: null, claimed: undefined, as: null, isLetGo: false });
    for (const node of [this.sentence, this.which, this.choice]) fill(node);
    this.show();
  }

  // Saves what was heard, and goes to the next reed.
  async keep() {
    const heard = [...this.entry.fields.values()].filter((field) => field.isHeard);
    if (heard.length === 0) return say("Nothing was heard yet that could be kept.");
    for (const field of heard) if (!(await field.save())) return;
    const { id } = this.entry;
    this.entry.bench.next(null, 1);
    if (this.entry.id === id) this.forget();
    this.keeps.focus();
  }
}
