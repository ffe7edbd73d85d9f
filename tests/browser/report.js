// Opens the report on a set in a browser, on paper and on screens: node report.js REPORT.html
import { asPrinted, check, PAPERS, printed, withPage } from "./browser.js";

// The report's margins as its print style gives them, in millimetres.
const MARGINS_MM = { top: 13, side: 15, bottom: 14 };
const SCREENS = [1200, 800, 390];
const PAGES = { least: 5, most: 12 };
const FIGURES = 5;
// Least sizes of letters on paper, in points: of text, and of charts.
const LEAST_PT = { text: 9, chart: 7 };
// As the Web Content Accessibility Guidelines 2.2 ask of text (1.4.3).
const LEAST_CONTRAST = 4.5;

await withPage(process.argv[2], async (page) => {
  await onWhole(page);
  for (const width of SCREENS) await onScreen(page, width);
  for (const paper of Object.keys(PAPERS)) {
    const pages = await printed(page, paper);
    check(pages >= PAGES.least && pages <= PAGES.most, `${pages} pages on ${paper}`);
    await asPrinted(page, paper, MARGINS_MM, async (room) => {
      await laidOut(page, paper, room);
      await firstPages(page, paper, room);
    });
  }
});

// The verdict with the plates on the first page, the work with room to sign on the second, all else after them; every reed
// marked by more than its colour, as many of a kind as the key counts; the worse, the darker.
async function firstPages(page, paper, room) {
  const found = await page.evaluate(() => {
    const grey = (node) => {
      const [r, g, b] = getComputedStyle(node).backgroundColor.match(/[\d.]+/g).map(Number);
      return 0.299 * r + 0.587 * g + 0.114 * b;
    };
    const kinds = ["suits", "doubtful", "fails", "open"].map((kind) => ({
      kind,
      cells: [...document.querySelectorAll(`.plate td.${kind}`)],
      keys: [...document.querySelectorAll(`.key b.${kind}`)],
    }));
    const one = (selector) => document.querySelector(selector);
    return {
      heights: [".first", ".second"].map((part) => one(part).getBoundingClientRect().height),
      breaks: [".second", ".appendix"].map((part) => getComputedStyle(one(part)).breakBefore),
      parts: [".first .plates", ".second .to-do", ".second .safety", ".second .sign"].filter((part) => !one(part)),
      unmarked: kinds.flatMap(({ cells }) => cells).filter((cell) => cell.querySelector(".sign")?.textContent.trim().length < 1).length,
      counted: kinds.map(({ kind, cells, keys }) => [
        kind, cells.length, keys.reduce((sum, key) => sum + Number(key.parentElement.textContent.match(/: (\d+)/)[1]), 0),
      ]),
      greys: kinds.slice(0, 3).filter(({ keys }) => keys.length).map(({ keys }) => grey(keys[0])),
    };
  });
  found.heights.forEach((height, k) => check(height <= room.height, `page ${k + 1} is ${height} px high, ${paper} has ${room.height}`));
  check(found.breaks.every((kind) => kind === "page"), `a page does not begin on ${paper}: ${found.breaks}`);
  check(found.parts.length === 0, `not on the first two pages: ${found.parts.join(", ")}`);
  check(found.unmarked === 0, `${found.unmarked} reeds are told by colour alone`);
  check(found.counted.every(([, cells, key]) => cells === key) && found.counted.some(([, cells]) => cells > 0), `the key counts otherwise: ${found.counted.join("; ")}`);
  check(found.greys.every((grey, k) => k === 0 || grey < found.greys[k - 1] - 15), `in grey the verdicts are alike: ${found.greys}`);
}

// Language, headings, heads of tables, names of pictures, contrast, texts in charts that do not hide each other.
async function onWhole(page) {
  const found = await page.evaluate((leastContrast) => {
    const light = (colour) => {
      const [r, g, b] = colour.match(/[\d.]+/g).map((part) => {
        const share = part / 255;
        return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
      });
      return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const ground = (node) => {
      for (let at = node; at; at = at.parentElement) {
        const colour = getComputedStyle(at).backgroundColor;
        if (!/, 0\)$/.test(colour)) return colour;
      }
      return "rgb(255, 255, 255)";
    };
    const contrast = (node) => {
      const colour = node.closest("svg") ? getComputedStyle(node).fill : getComputedStyle(node).color;
      const [one, other] = [light(colour), light(node.closest("svg") ? "rgb(255, 255, 255)" : ground(node))];
      return (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05);
    };
    const own = (node) => [...node.childNodes].some((child) => child.nodeType === 3 && child.textContent.trim());
    const texts = [...document.querySelectorAll("main *")].filter(
      (node) => own(node) && !["title", "desc"].includes(node.tagName),
    );
    const overlaps = (svg) => {
      const boxes = [...svg.querySelectorAll("text")].map((text) => [text.textContent, text.getBoundingClientRect()]);
      const apart = (a, b) => a.right <= b.left + 1 || b.right <= a.left + 1 || a.bottom <= b.top + 2 || b.bottom <= a.top + 2;
      return boxes.flatMap(([words, box], k) =>
        boxes.slice(k + 1).filter(([, other]) => !apart(box, other)).map(([other]) => `${words} and ${other}`),
      );
    };
    const headless = [...document.querySelectorAll("table")].filter(
      (table) => !table.querySelector("thead th[scope=col]") || !table.querySelector("tbody th[scope=row]"),
    );
    return {
      language: document.documentElement.lang,
      title: document.title,
      headings: [...document.querySelectorAll("h1, h2, h3")].map((heading) => Number(heading.tagName[1])),
      firsts: document.querySelectorAll("h1").length,
      figures: document.querySelectorAll("figure svg").length,
      unnamed: [...document.querySelectorAll("figure svg")].filter(
        (svg) => svg.getAttribute("role") !== "img" || !svg.querySelector(":scope > title")?.textContent.trim(),
      ).length,
      headless: headless.length,
      faint: texts.filter((node) => contrast(node) < leastContrast).map((node) => `${node.textContent.trim().slice(0, 30)} ${contrast(node).toFixed(1)}`),
      texts: texts.length,
      overlaps: [...document.querySelectorAll("svg")].flatMap(overlaps),
      scripts: document.scripts.length,
    };
  }, LEAST_CONTRAST);
  check(found.language === "en", `lang is "${found.language}"`);
  check(found.title.startsWith("Report: ") && found.title.length > 12, `the title is "${found.title}"`);
  check(found.firsts === 1 && found.headings.every((rank, k) => rank <= (found.headings[k - 1] ?? 0) + 1), `ranks of headings: ${found.headings}`);
  check(found.figures === FIGURES, `${found.figures} figures, not ${FIGURES}`);
  check(found.unnamed === 0, `${found.unnamed} pictures have no name`);
  check(found.headless === 0, `${found.headless} tables lack heads of columns or of rows`);
  check(found.texts > 100 && found.faint.length === 0, `too little contrast: ${found.faint.join("; ")}`);
  check(found.overlaps.length === 0, `texts overlap: ${found.overlaps.join("; ")}`);
  check(found.scripts === 0, "there is a script");
}

// Nothing is wider than the screen but what scrolls by itself.
async function onScreen(page, width) {
  await page.setViewportSize({ width, height: 900 });
  const found = await page.evaluate(() => {
    const inner = document.documentElement.clientWidth;
    const scrolls = (node) => {
      for (let at = node.parentElement; at; at = at.parentElement) if (getComputedStyle(at).overflowX === "auto") return true;
      return false;
    };
    const wide = [...document.querySelectorAll("main *")].filter((node) => node.getBoundingClientRect().right > inner + 1 && !scrolls(node));
    return {
      overflow: document.documentElement.scrollWidth - inner,
      wide: wide.map((node) => `${node.tagName}.${node.getAttribute("class")}`),
    };
  });
  check(found.overflow <= 0, `at ${width} the page is ${found.overflow} pixels too wide`);
  check(found.wide.length === 0, `at ${width} too wide: ${found.wide.join(", ")}`);
}

// What must stay together fits on a page and may not be split, heads of tables come again, letters are large enough.
async function laidOut(page, paper, room) {
  const found = await page.evaluate(({ height, side }) => {
    const style = (node) => getComputedStyle(node);
    const whole = [...document.querySelectorAll("figure, .table:not(.assumed .table, .protocol .table), .assumed tr, .protocol tr, .safety, .sign, tbody.wrong, .list tbody tr")];
    const name = (node) => node.id || node.textContent.trim().slice(0, 40);
    const right = document.documentElement.clientWidth - side;
    const all = [...document.querySelectorAll("main *")].filter((node) => !node.closest("svg") || node.tagName === "svg");
    const cut = all.filter((node) => {
      const box = node.getBoundingClientRect();
      return box.left < side - 1 || box.right > right + 1;
    });
    const cells = [...document.querySelectorAll("td, th")].filter((cell) => cell.scrollWidth > cell.clientWidth + 1);
    const own = (node) => [...node.childNodes].some((child) => child.nodeType === 3 && child.textContent.trim());
    const points = (px) => (px * 72) / 96;
    const texts = all.filter((node) => own(node) && node.tagName !== "svg");
    const inCharts = [...document.querySelectorAll("svg text")].map((text) => {
      const { a, b } = text.getScreenCTM();
      return points(parseFloat(style(text).fontSize) * Math.hypot(a, b));
    });
    return {
      divisible: whole.filter((node) => style(node).breakInside !== "avoid").map(name),
      tall: whole.filter((node) => node.getBoundingClientRect().height > height).map(name),
      headings: [...document.querySelectorAll("h1, h2, h3")].filter((node) => style(node).breakAfter !== "avoid").map(name),
      heads: [...document.querySelectorAll("thead")].filter((node) => style(node).display !== "table-header-group").map(name),
      cut: cut.map(name),
      cells: cells.map(name),
      text: Math.min(...texts.map((node) => points(parseFloat(style(node).fontSize)))),
      chart: Math.min(...inCharts),
      overflow: document.documentElement.scrollWidth - document.documentElement.clientWidth,
    };
  }, room);
  check(found.divisible.length === 0, `may be split on ${paper}: ${found.divisible.join("; ")}`);
  check(found.tall.length === 0, `higher than a page of ${paper}: ${found.tall.join("; ")}`);
  check(found.headings.length === 0, `may stand alone at the foot of a page: ${found.headings.join("; ")}`);
  check(found.heads.length === 0, `heads that do not come again: ${found.heads.join("; ")}`);
  check(found.cut.length === 0, `reaches into the margin of ${paper}, where it is cut off: ${found.cut.join("; ")}`);
  check(found.cells.length === 0, `wider than its cell on ${paper}: ${found.cells.join("; ")}`);
  check(found.text >= LEAST_PT.text - 0.01, `letters of ${found.text} points on ${paper}`);
  check(found.chart >= LEAST_PT.chart - 0.05, `letters of ${found.chart} points in a chart on ${paper}`);
  check(found.overflow <= 0, `on ${paper} the text is ${found.overflow} pixels too wide`);
}
