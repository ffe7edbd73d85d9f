// Opens the bench card in a browser: nothing clipped, letters that can be read, whole on paper: node card.js CARD.html
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

// Paper that lies, in millimetres, and the card's margin on it as its print style gives it.
const PAPERS = { A4: [297, 210], Letter: [279.4, 215.9] };
const MARGIN_MM = 9;
const PX_PER_MM = 96 / 25.4;
// In points; a browser counts 96 pixels where print counts 72 points.
const LEAST_PT = 7.5;

const file = process.argv[2];
if (!file) throw new Error("name the card");
let passed = 0;
const failures = [];

function check(holds, what) {
  if (holds) passed += 1;
  else failures.push(what);
}

const profile = mkdtempSync(join(tmpdir(), "freereed-browser-"));
const context = await chromium.launchPersistentContext(profile, {
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-sync"],
});

try {
  const page = await context.newPage();
  await page.goto(pathToFileURL(resolve(file)).href, { waitUntil: "load" });
  await page.emulateMedia({ media: "print" });
  for (const [paper, [width, height]] of Object.entries(PAPERS)) {
    const [inside, high] = [width, height].map((size) => Math.floor((size - 2 * MARGIN_MM) * PX_PER_MM));
    await page.setViewportSize({ width: inside, height: high });
    const found = await page.evaluate(look);
    check(found.clipped.length === 0, `${paper}: clipped: ${found.clipped.join("; ")}`);
    check(found.least >= LEAST_PT - 0.01, `${paper}: letters of ${found.least} pt`);
    check(found.cells > 0 && found.wide <= inside, `${paper}: ${found.cells} cells, ${found.wide} of ${inside} px wide`);
    // The last page is the list, which may go on over pages with its heading.
    check(found.plates.every((plate) => plate <= high), `${paper}: plates ${found.plates} px high, ${high} px there`);
    check(found.heading === "table-header-group", `${paper}: the list's heading is not repeated`);
  }
} finally {
  await context.close();
  rmSync(profile, { recursive: true, force: true });
}

failures.forEach((what) => console.error(`FAILED: ${what}`));
console.log(`${passed} passed, ${failures.length} failed`);
process.exit(failures.length === 0 && passed > 0 ? 0 : 1);

// In the page: cells whose content is larger than they are, the smallest letters, sizes.
function look() {
  const all = [...document.querySelectorAll("body *")];
  const inside = [...document.querySelectorAll(".cell, .cell > *, .boxes > div, .list td")];
  const clipped = inside.filter((e) => e.scrollHeight > e.clientHeight + 1 || e.scrollWidth > e.clientWidth + 1);
  const written = all.filter((e) => [...e.childNodes].some((node) => node.nodeType === 3 && node.data.trim()));
  return {
    clipped: clipped.map((e) => e.textContent.slice(0, 60)),
    least: Math.min(...written.map((e) => 0.75 * parseFloat(getComputedStyle(e).fontSize))),
    cells: document.querySelectorAll(".cell").length,
    wide: document.documentElement.scrollWidth,
    plates: [...document.querySelectorAll(".page")].slice(0, -1).map((e) => Math.ceil(e.getBoundingClientRect().height)),
    heading: getComputedStyle(document.querySelector(".list thead")).display,
  };
}
