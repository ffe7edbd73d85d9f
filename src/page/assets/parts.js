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
  const options = body === undefined
    ? {}
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

// What the program computes for long: asked again until nothing is left to solve.
export async function patiently(path, told) {
  for (;;) {
    const { status, answer } = await ask(path);
    if (status !== 202) return { status, answer };
    told?.("Waiting until every reed is solved.");
    await wait(700);
  }
}

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
