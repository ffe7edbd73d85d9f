// What every test of a page needs: a browser without a profile, counted checks, sizes of paper.
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

// In millimetres.
export const PAPERS = { A4: [210, 297], Letter: [215.9, 279.4] };
export const PX_PER_MM = 96 / 25.4;

let passed = 0;
const failures = [];

export function check(holds, what) {
  if (holds) passed += 1;
  else failures.push(what);
}

// Starts a browser without a profile, looks through it, and ends with the count.
export async function inBrowser(look, more = []) {
  const profile = mkdtempSync(join(tmpdir(), "freereed-browser-"));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: [
      "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
      "--disable-component-update", "--disable-sync", ...more,
    ],
  });
  try {
    await look(context);
  } finally {
    await context.close();
    rmSync(profile, { recursive: true, force: true });
  }
  failures.forEach((what) => console.error(`FAILED: ${what}`));
  console.log(`${passed} passed, ${failures.length} failed`);
  process.exit(failures.length === 0 && passed > 0 ? 0 : 1);
}

// Opens a page of ours and looks at it: it must be quiet and ask for nothing but itself.
export async function withPage(file, look) {
  if (!file) throw new Error("name the page");
  const address = pathToFileURL(resolve(file)).href;
  await inBrowser(async (context) => {
    const page = await context.newPage();
    const asked = [];
    page.on("request", (request) => asked.push(request.url()));
    page.on("console", (message) => check(!["error", "warning"].includes(message.type()), `the console says: ${message.text()}`));
    page.on("pageerror", (error) => check(false, `an error in the page: ${error}`));
    await page.goto(address, { waitUntil: "load" });
    await look(page);
    const others = asked.filter((url) => url.split("#")[0] !== address);
    check(others.length === 0, `the page asks for ${others.join(", ")}`);
  });
}

// Prints to PDF, checks that every page is of the paper's size, and gives their number.
export async function printed(page, paper) {
  const [width_mm, height_mm] = PAPERS[paper];
  const pdf = (await page.pdf({ format: paper })).toString("latin1");
  const boxes = [...pdf.matchAll(/\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]/g)];
  const fits = ([, width, height]) =>
    Math.abs(width - (width_mm / 25.4) * 72) < 1.5 && Math.abs(height - (height_mm / 25.4) * 72) < 1.5;
  check(boxes.length > 0 && boxes.every(fits), `pages are not ${paper}: ${boxes[0]?.[0]}`);
  return (pdf.match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;
}

// Lays the page out as print does between the margins given (mm), looks at it, and goes back to the screen.
export async function asPrinted(page, paper, margins_mm, look) {
  const [width_mm, height_mm] = PAPERS[paper];
  const height = (height_mm - margins_mm.top - margins_mm.bottom) * PX_PER_MM;
  await page.emulateMedia({ media: "print" });
  // A screen has no margins of paper.
  const margins = await page.addStyleTag({ content: `body { margin: 0 ${margins_mm.side}mm !important; }` });
  await page.setViewportSize({ width: Math.floor(width_mm * PX_PER_MM), height: Math.floor(height) });
  await look({ height, side: margins_mm.side * PX_PER_MM });
  await margins.evaluate((style) => style.remove());
  await page.emulateMedia({ media: null });
}
