// Opens the bench card in a browser: nothing clipped, letters that can be read, whole on paper, usable on a phone:
// node card.js CARD.html
import { check, PX_PER_MM, withPage } from "./browser.js";

// Paper that lies, in millimetres, and the card's margin on it as its print style gives it.
const PAPERS = { A4: [297, 210], Letter: [279.4, 215.9] };
const MARGIN_MM = 9;
// In points; a browser counts 96 pixels where print counts 72 points.
const LEAST_PT = 7.5;
// What is read at arm's length: which reed, and how much.
const AT_ARMS_LENGTH_PT = 9;
const PHONE = 390;

await withPage(process.argv[2], async (page) => {
  await page.emulateMedia({ media: "print" });
  for (const [paper, [width, height]] of Object.entries(PAPERS)) {
    const [inside, high] = [width, height].map((size) => Math.floor((size - 2 * MARGIN_MM) * PX_PER_MM));
    await page.setViewportSize({ width: inside, height: high });
    const found = await page.evaluate(look);
    check(found.clipped.length === 0, `${paper}: clipped: ${found.clipped.join("; ")}`);
    check(found.least >= LEAST_PT - 0.01, `${paper}: letters of ${found.least} pt`);
    check(found.arm >= AT_ARMS_LENGTH_PT - 0.01, `${paper}: a reed or its work in letters of ${found.arm} pt`);
    check(found.shaded > 0 && found.idle === 0, `${paper}: ${found.shaded} cells with work shaded, ${found.idle} without`);
    check(found.cells > 0 && found.wide <= inside, `${paper}: ${found.cells} cells, ${found.wide} of ${inside} px wide`);
    // The last page is the list, which may go on over pages with its heading.
    check(found.plates.every((plate) => plate <= high), `${paper}: plates ${found.plates} px high, ${high} px there`);
    check(found.heading === "table-header-group", `${paper}: the list's heading is not repeated`);
  }
  await page.emulateMedia({ media: "screen" });
  await page.setViewportSize({ width: PHONE, height: 800 });
  const phone = await page.evaluate(onPhone);
  check(phone.overflow <= 0, `on a phone the page is ${phone.overflow} px too wide`);
  check(phone.wide.length === 0, `on a phone too wide: ${phone.wide.join("; ")}`);
  check(phone.lines > 0 && phone.boxes === 4 * phone.lines, `on a phone ${phone.boxes} boxes named for ${phone.lines} lines`);
});

// In the page: what of the list leaves the screen; boxes that say what they are for.
function onPhone() {
  const inner = document.documentElement.clientWidth;
  const list = [...document.querySelectorAll(".list, .list *")];
  const wide = list.filter((e) => e.getBoundingClientRect().right > inner + 1);
  return {
    overflow: document.documentElement.scrollWidth - inner,
    wide: wide.map((e) => e.textContent.slice(0, 40)),
    lines: document.querySelectorAll(".list tbody tr").length,
    boxes: [...document.querySelectorAll(".list td.box span")].filter((e) => e.getBoundingClientRect().height > 0).length,
  };
}

// In the page: cells whose content is larger than they are, the smallest letters, sizes.
function look() {
  const all = [...document.querySelectorAll("body *")];
  const inside = [...document.querySelectorAll(".cell, .cell > *, .boxes > div, .list td")];
  const clipped = inside.filter((e) => e.scrollHeight > e.clientHeight + 1 || e.scrollWidth > e.clientWidth + 1);
  const written = all.filter((e) => [...e.childNodes].some((node) => node.nodeType === 3 && node.data.trim()));
  const points = (e) => 0.75 * parseFloat(getComputedStyle(e).fontSize);
  const clear = (e) => ["rgba(0, 0, 0, 0)", "rgb(255, 255, 255)"].includes(getComputedStyle(e).backgroundColor);
  const cells = [...document.querySelectorAll("td, th")];
  return {
    arm: Math.min(...[...document.querySelectorAll(".cell .name, .cell .what, .list .id, .list .do")].map(points)),
    shaded: cells.filter((e) => e.matches(".work") && !clear(e)).length,
    idle: cells.filter((e) => !e.matches(".work") && !clear(e)).length,
    clipped: clipped.map((e) => e.textContent.slice(0, 60)),
    least: Math.min(...written.map((e) => 0.75 * parseFloat(getComputedStyle(e).fontSize))),
    cells: document.querySelectorAll(".cell").length,
    wide: document.documentElement.scrollWidth,
    plates: [...document.querySelectorAll(".page")].slice(0, -1).map((e) => Math.ceil(e.getBoundingClientRect().height)),
    heading: getComputedStyle(document.querySelector(".list thead")).display,
  };
}
