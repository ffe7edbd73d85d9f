// Opens the bench card in a browser: nothing clipped, letters that can be read, whole on paper: node card.js CARD.html
import { check, PX_PER_MM, withPage } from "./browser.js";

// Paper that lies, in millimetres, and the card's margin on it as its print style gives it.
const PAPERS = { A4: [297, 210], Letter: [279.4, 215.9] };
const MARGIN_MM = 9;
// In points; a browser counts 96 pixels where print counts 72 points.
const LEAST_PT = 7.5;

await withPage(process.argv[2], async (page) => {
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
});

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
