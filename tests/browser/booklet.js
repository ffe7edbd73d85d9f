// Opens the booklet in a browser, on paper and on screens: node booklet.js BOOKLET.html
import { asPrinted, check, PAPERS, printed, withPage } from "./browser.js";

const LESSONS = 7;
// The booklet's margins as its print style gives them, in millimetres.
const MARGINS_MM = { top: 20, side: 14, bottom: 22 };
const SCREENS = [1200, 400];
const PAGES = { least: 10, most: 40 };

await withPage(process.argv[2], async (page) => {
  await onWhole(page);
  for (const width of SCREENS) await onScreen(page, width);
  await throughLinks(page);
  for (const paper of Object.keys(PAPERS)) await onPaper(page, paper);
});

// Language, title, headings, names of pictures.
async function onWhole(page) {
  const found = await page.evaluate(() => ({
    language: document.documentElement.lang,
    title: document.title,
    lessons: document.querySelectorAll("section.lesson").length,
    questions: document.querySelectorAll(".question").length,
    answers: document.querySelectorAll(".answer").length,
    headings: [...document.querySelectorAll("h1, h2, h3")].map((heading) => Number(heading.tagName[1])),
    unnamed: [...document.querySelectorAll("figure svg")].filter(
      (svg) => svg.getAttribute("role") !== "img" || !svg.querySelector(":scope > title")?.textContent.trim(),
    ).length,
    captions: [...document.querySelectorAll("figure")].every((figure) => figure.querySelector("figcaption")?.textContent.length > 20),
  }));
  check(found.language === "en", `lang is "${found.language}"`);
  check(found.title.length > 10, `the title is "${found.title}"`);
  for (const part of ["lessons", "questions", "answers"]) check(found[part] === LESSONS, `${found[part]} ${part}, not ${LESSONS}`);
  check(found.headings.every((rank, k) => rank <= (found.headings[k - 1] ?? 0) + 1), `ranks of headings: ${found.headings}`);
  check(found.unnamed === 0, `${found.unnamed} pictures have no name`);
  check(found.captions, "a figure has no caption");
  const images = await page.getByRole("img").count();
  const figures = await page.locator("figure").count();
  check(images === figures, `${images} pictures for ${figures} figures to those who listen`);
}

// Nothing is wider than the screen, every picture lies inside its frame.
async function onScreen(page, width) {
  await page.setViewportSize({ width, height: 900 });
  const found = await page.evaluate(() => {
    const inner = document.documentElement.clientWidth;
    const scrolls = (node) => node.closest(".drawing, .table");
    const wide = [...document.querySelectorAll("main *")].filter(
      (node) => !scrolls(node)?.contains(node.parentElement) && node.getBoundingClientRect().right > inner + 1,
    );
    const inside = (svg) => {
      const [picture, frame] = [svg.getBoundingClientRect(), svg.parentElement];
      const seen = frame.getBoundingClientRect();
      return picture.width > 200 && picture.height > 50 && picture.top >= seen.top - 1 && picture.bottom <= seen.bottom + 1 &&
        picture.left >= seen.left - 1 && picture.width <= frame.scrollWidth + 1;
    };
    const svgs = [...document.querySelectorAll("figure svg")];
    return {
      overflow: document.documentElement.scrollWidth - inner,
      wide: wide.map((node) => `${node.tagName}.${node.className}`),
      outside: svgs.filter((svg) => !inside(svg)).length,
      small: [...document.querySelectorAll("main p, main td, main dd")].filter(
        (node) => parseFloat(getComputedStyle(node).fontSize) < 12,
      ).length,
    };
  });
  check(found.overflow <= 0, `at ${width} the page is ${found.overflow} pixels too wide`);
  check(found.wide.length === 0, `at ${width} too wide: ${found.wide.join(", ")}`);
  check(found.outside === 0, `at ${width} ${found.outside} pictures leave their frames`);
  check(found.small === 0, `at ${width} ${found.small} texts are too small to read`);
}

// Every link inside the page leads to something that is then seen; each question leads to its answer and back.
async function throughLinks(page) {
  await page.setViewportSize({ width: 1200, height: 900 });
  const links = await page.locator("a").evaluateAll((all) => all.map((link) => link.getAttribute("href")));
  check(links.length >= 3 * LESSONS, `only ${links.length} links`);
  const outside = links.filter((link) => !link?.startsWith("#"));
  check(outside.length === 0, `links lead outside: ${outside.join(", ")}`);
  for (const link of new Set(links)) {
    await page.locator(`a[href="${link}"]`).first().click();
    const target = page.locator(link);
    const box = (await target.count()) === 1 ? await target.boundingBox() : null;
    check(page.url().endsWith(link) && box && box.y > -2 && box.y < 900, `${link} leads nowhere`);
  }
  for (let k = 1; k <= LESSONS; k += 1) {
    check((await page.locator(`#question-${k} a[href="#answer-${k}"]`).count()) === 1, `question ${k} has no way to its answer`);
    check((await page.locator(`#answer-${k} a[href="#question-${k}"]`).count()) === 1, `answer ${k} has no way back`);
  }
}

// As many pages as a booklet has, each of the paper's size, and what must stay together fits on one.
async function onPaper(page, paper) {
  const pages = await printed(page, paper);
  check(pages >= PAGES.least && pages <= PAGES.most, `${pages} pages on ${paper}`);
  await asPrinted(page, paper, MARGINS_MM, (room) => laidOut(page, paper, room));
}

async function laidOut(page, paper, room) {
  const found = await page.evaluate(({ height, side }) => {
    const whole = [...document.querySelectorAll("figure, .table, .question, .answer, .safety")];
    const name = (node) => node.id || node.textContent.trim().slice(0, 40);
    return {
      divisible: whole.filter((node) => getComputedStyle(node).breakInside !== "avoid").map(name),
      tall: whole.filter((node) => node.getBoundingClientRect().height > height).map(name),
      headings: [...document.querySelectorAll("h1, h2, h3")].filter((node) => getComputedStyle(node).breakAfter !== "avoid").map(name),
      cut: whole.filter((node) => {
        const { left, right } = node.getBoundingClientRect();
        return left < side - 1 || right > document.documentElement.clientWidth - side + 1;
      }).map(name),
      overflow: document.documentElement.scrollWidth - document.documentElement.clientWidth,
    };
  }, room);
  check(found.divisible.length === 0, `may be split on ${paper}: ${found.divisible.join("; ")}`);
  check(found.tall.length === 0, `higher than a page of ${paper}: ${found.tall.join("; ")}`);
  check(found.headings.length === 0, `may stand alone at the foot of a page: ${found.headings.join("; ")}`);
  check(found.cut.length === 0, `reaches into the margin of ${paper}, where it is cut off: ${found.cut.join("; ")}`);
  check(found.overflow <= 0, `on ${paper} the text is ${found.overflow} pixels too wide`);
}
