// Parts that every view shares: elements, questions to the program, what is told.

// An element with properties, listeners and children; an attribute that is null is left out.
export function el(tag, properties = {}, ...children) {
  const [name, ...classes] = tag.split(".");
  return filled(document.createElement(name), properties, classes, children);
}

// The same in a drawing.
export function svg(tag, properties = {}, ...children) {
  const [name, ...classes] = tag.split(".");
  return filled(document.createElementNS("http://www.w3.org/2000/svg", name), properties, classes, children);
}

function filled(node, properties, classes, children) {
  if (classes.length) node.setAttribute("class", classes.join(" "));
  for (const [key, value] of Object.entries(properties)) {
    if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
    else if (value === true) node.setAttribute(key, "");
    else if (value !== null && value !== undefined && value !== false) node.setAttribute(key, value);
  }
  node.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

// Puts children in the place of all that is there.
export function fill(node, ...children) {
  node.replaceChildren(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
}

// The program does not answer.
export class Gone extends Error {}

// Asks the program; gives status and answer, and throws only where there is no answer at all.
export async function ask(path, body) {
  const isBytes = ArrayBuffer.isView(body) || body instanceof Blob;
  const options = body === undefined
    ? {}
    : isBytes
      ? { method: "POST", headers: { "content-type": "application/octet-stream" }, body }
      : { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) };
  let response;
  try {
    response = await fetch(path, { ...options, cache: "no-store" });
  } catch {
    throw new Gone();
  }
  const text = await response.text();
  try {
    return { status: response.status, answer: JSON.parse(text) };
  } catch {
    return { status: response.status, answer: { refused: text } };
  }
}

// What the program computes for long, one at a time: what is asked anew or stopped is not computed any further.
export class Heavy {
  constructor() {
    [this.window, this.number] = [crypto.getRandomValues(new Uint32Array(1))[0], 0];
  }

  // Asks until nothing is left to solve; meanwhile `node` says so, with a button that stops it.
  async ask(path, node, body) {
    this.number += 1;
    const { window, number } = this;
    const of = `${path}${path.includes("?") ? "&" : "?"}${new URLSearchParams({ window, number })}`;
    const stop = el("button", { type: "button", onclick: () => this.stop(node) }, "Stop");
    fill(node, el("p.soon", {}, "Being computed; it takes some seconds. ", stop));
    node.classList.remove("stale");
    say("Being computed; it takes some seconds.");
    while (number === this.number) {
      const { status, answer } = await ask(of, body);
      if (number !== this.number) break;
      if (status !== 202) return { status, answer };
      say("Waiting until every reed is solved.");
      await wait(700);
    }
    return { status: 409, answer: { overtaken: true } };
  }

  async stop(node) {
    this.number += 1;
    fill(node, el("p", {}, "Stopped."));
    say("Stopped.");
    const { window, number } = this;
    await ask("overtake", { window, number });
  }
}

// So far beside a mark a finger may tap, pixels.
const REACH = 30;

// A chart of the program's whose reeds or notes can be tapped: `act` is given the name of the nearest.
export function chart(text, words, what, act) {
  const drawn = document.importNode(new DOMParser().parseFromString(text, "image/svg+xml").documentElement, true);
  const node = el("div.chart.scroll", { tabindex: 0, role: "region", "aria-label": words }, drawn);
  node.addEventListener("click", (event) => {
    const away = (mark) => {
      const { left, right, top, bottom } = mark.getBoundingClientRect();
      // Reeds stand side by side, each in its column.
      return Math.hypot(Math.max(left - event.clientX, 0, event.clientX - right), what === "reed" ? 0 : Math.max(top - event.clientY, 0, event.clientY - bottom));
    };
    const marks = [...drawn.querySelectorAll(`[data-${what}]`)].map((mark) => [away(mark), mark]).sort(([a], [b]) => a - b);
    if (marks.length && marks[0][0] < REACH) act(marks[0][1].dataset[what]);
  });
  return node;
}

// Once what was changed is on the screen.
export const painted = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));

export const wait = (ms) => new Promise((done) => setTimeout(done, ms));

// Why something was refused, as sentences.
export function why({ refused, refusal }) {
  if (refused) return capital(refused);
  if (refusal?.cannot) return capital(refusal.cannot);
  const one = ({ reason, allowed, cure }) =>
    [capital(reason), allowed && `Allowed: ${allowed}`, cure && `Try: ${cure}`].filter(Boolean).map(point).join(" ");
  return (refusal?.wrong ?? []).map(one).join(" ") || "This was refused.";
}

export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
export const point = (text) => (/[.!?]$/.test(text) ? text : `${text}.`);

// Told to those who do not see the page, and to the others for a moment.
export function say(text) {
  document.getElementById("standing").textContent = text;
}
