// The bench page in a browser: node page.js FREEREED DEMO-FOLDER [FOLDER-FOR-PICTURES]
import { execFileSync, spawn } from "node:child_process";
import { cpSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { check, inBrowser } from "./browser.js";
import { ear } from "./ear.js";
import { music } from "./music.js";
import { write } from "./sound.js";

const [, , program, demo, pictures] = process.argv;
if (!program || !demo) throw new Error("name the program and the folder of the demo");
const freereed = resolve(program);
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
// While script and look are worked on they are taken from this folder, in place of those in the program.
const assets = process.env.FREEREED_ASSETS;
const SCREENS = { phone: [390, 844], tablet: [800, 1100], desktop: [1280, 900] };
// A slider moved so many times; what is asked of the answers, in milliseconds.
const MOVES = 60;
const ASKED_MS = { median: 50, late: 100 };

const bench = mkdtempSync(join(tmpdir(), "freereed-page-"));
const running = new Set();

// Starts the program and gives its address, once it is served.
async function open(...what) {
  const child = spawn(freereed, ["open", ...what, "--no-browser"], { cwd: bench, env: { ...process.env, XDG_STATE_HOME: join(bench, "state") } });
  running.add(child);
  let told = "";
  for await (const part of child.stdout) {
    told += part;
    if (told.includes("\n")) break;
  }
  return { child, address: told.split("\n")[0] };
}

async function end({ child }, signal = "SIGINT") {
  const ended = new Promise((done) => child.once("exit", done));
  child.kill(signal);
  running.delete(child);
  return ended;
}

const say = (...words) => JSON.parse(execFileSync(freereed, [...words, "--json"], { cwd: bench, maxBuffer: 1 << 26 }));
const rounds = (folder) => (existsSync(join(bench, folder, "rounds")) ? readdirSync(join(bench, folder, "rounds")).filter((name) => !name.startsWith(".")) : []);
const round = (folder, k = 0) => readFileSync(join(bench, folder, "rounds", rounds(folder)[k]), "utf8");

// A window on the page, which must be quiet but for what is refused on purpose.
async function windowOn(context, address) {
  const page = await context.newPage();
  page.on("console", (message) => {
    const refusal = /status of (400|409)|ERR_CONNECTION_REFUSED|ERR_EMPTY_RESPONSE|ERR_CONNECTION_RESET|ERR_INCOMPLETE/.test(message.text());
    check(refusal || !["error", "warning"].includes(message.type()), `the console says: ${message.text()}`);
  });
  page.on("pageerror", (error) => check(false, `an error in the page: ${error}`));
  page.on("request", (request) => check(request.url().startsWith(address.split("#")[0]) || request.url().startsWith("blob:"), `the page asks for ${request.url()}`));
  if (assets) for (const name of readdirSync(assets)) await page.route(`**/${name}`, (route) => route.fulfill({ path: resolve(assets, name) }));
  await page.goto(address);
  return page;
}

const cell = (page, column) => page.locator(`#cell-${column}`);
const knob = (page, key) => page.locator(`[id="knob-${key}"]`);
const chosen = (page) => page.locator('.reed[aria-pressed="true"]').getAttribute("data-id");
const picture = (page, name) => pictures && page.screenshot({ path: join(pictures, `${name}.png`), fullPage: true });
const judged = (page) => page.waitForFunction(() => document.body.dataset.standing === "judged", null, { timeout: 240000 });

async function audit(page, what) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
  for (const { id, nodes } of found.violations) check(false, `${what}: ${id}: ${nodes.map((node) => node.target.join(" ")).slice(0, 4).join("; ")}`);
  check(found.violations.length === 0, `${what}: ${found.violations.length} kinds of barriers`);
}

// What the browser's microphone hears.
const SOUND = join(bench, "sound.wav");
write(SOUND);

try {
  await inBrowser(async (context) => {
    cpSync(demo, join(bench, "demo"), { recursive: true });
    await wholeJob(context);
    const served = await open("demo/job.toml");
    const page = await windowOn(context, `${served.address}#3-blow-out`);
    await judged(page);
    await plates(page);
    await sliders(page);
    await quickness(page);
    await entering(page);
    await judged(page);
    await ear(page, { audit, picture, chosen, round, rounds });
    await screens(page);
    await theSet(page);
    await music(page, resolve(demo, "../pieces"), { audit, picture, say, chosen });
    await twoWindows(context, page, served);
    await restart(page, served);
  }, ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream", `--use-file-for-fake-audio-capture=${SOUND}`]);
} finally {
  for (const child of running) child.kill("SIGKILL");
  rmSync(bench, { recursive: true, force: true });
}

// From nothing to a report, by somebody who knows only the page.
async function wholeJob(context) {
  const began = performance.now();
  const served = await open();
  const page = await windowOn(context, served.address);
  await page.locator(".begin h2").waitFor();
  const first = performance.now() - began;
  console.log(`first page after ${first.toFixed(0)} ms, the program's start included`);
  check(first < 5000, `the first page takes ${first} ms`);
  await audit(page, "a new job");
  await picture(page, "new");
  await page.locator("#new-layout").selectOption("diatonic");
  await page.locator("#new-key").selectOption("G");
  await page.getByRole("button", { name: "Begin" }).click();
  await page.locator(".reed").first().waitFor();
  check((await page.locator(".reed").count()) === 20, "a diatonic set has 20 reeds");
  await picture(page, "empty");
  await audit(page, "an empty set");
  // One reed after the other, column by column: Enter goes on.
  const measured = { length_mm: ["16.8", "16.1", "15.2"], width_mm: ["2.3", "2.3", "2.2"], tip_gap_mm: ["0.40", "0.38", "0.35"], measured_pluck_hz: ["G3 -2", "A3 +1", "B3 +0"] };
  for (const [column, values] of Object.entries(measured)) {
    await page.locator(".reed").first().click();
    await page.evaluate(() => document.querySelectorAll("details.more").forEach((details) => { details.open = true; }));
    await cell(page, column).focus();
    for (const value of values) {
      const here = await chosen(page);
      await page.keyboard.type(value);
      await page.keyboard.press("Enter");
      await page.waitForFunction((id) => document.querySelector('.reed[aria-pressed="true"]').dataset.id !== id, here);
    }
  }
  await page.locator(".reed").first().click();
  await page.waitForFunction(() => /Suits|Fails|Starts|Speaks|slow|start|told/.test(document.querySelector(".sentence")?.textContent ?? ""), null, { timeout: 60000 });
  const folder = readdirSync(bench).find((name) => name.startsWith("job-"));
  check(round(folder).split("\n").filter(Boolean).length === 4, `the round of a new job:\n${round(folder)}`);
  await judged(page);
  for (const paper of ["report", "card"]) {
    const response = await context.request.get(`${served.address}paper/${paper}`, { timeout: 240000 });
    const text = await response.text();
    check(response.status() === 200 && text.includes("<!DOCTYPE html>"), `${paper}: ${response.status()}`);
    if (paper === "report") check(/sign/i.test(text), "the report has room to sign");
  }
  await page.close();
  check((await end(served)) === 0, "Ctrl-C ends it cleanly");
}

// Every reed has a sign; arrow keys go over the plates as they lie.
async function plates(page) {
  check((await page.locator(".reed").count()) === 48, "not 48 reeds");
  const unmarked = await page.locator(".reed .sign").evaluateAll((signs) => signs.filter((sign) => !sign.textContent.trim()).length);
  check(unmarked === 0, `${unmarked} reeds are told by colour alone`);
  await page.locator('[data-id="3-blow-out"]').focus();
  for (const [key, id] of [["ArrowRight", "4-blow-out"], ["ArrowDown", "4-blow-in"], ["ArrowDown", "4-draw-out"], ["Home", "1-draw-out"], ["End", "12-draw-out"], ["ArrowRight", "12-draw-out"], ["ArrowUp", "12-blow-in"]]) {
    await page.keyboard.press(key);
    check((await chosen(page)) === id, `${key} goes to ${await chosen(page)}, not ${id}`);
  }
  const worst = await page.locator(".reed.fails").evaluateAll((reeds) => reeds.map((reed) => reed.dataset.id));
  check(worst.includes("3-blow-out") && worst.length === 6, `fail: ${worst}`);
  await page.locator('[data-id="3-blow-out"]').click();
  await page.waitForFunction(() => document.querySelector(".sentence")?.textContent.includes("hard attack"));
  check((await page.locator(".action").textContent()).includes("Bend it"), "the action is to bend it");
  await audit(page, "a reed");
  await picture(page, "reed");
}

const shown = (page, name) => page.locator(`.numbers td[data-key="${name}"]`).textContent();

// What a slider says is what `predict` says of the reed that `whatif` saves.
async function sliders(page) {
  const own = say("predict", "--job", "demo/job.toml", "--reed", "3-blow-out");
  for (const [key, name, values] of [["reed.tip_gap_mm", "tip_gap_mm", ["0.2", "0.31"]], ["slot.side_clearance_mm", "side_clearance_mm", ["0.05"]], ["reed.tip_mass_mg", "tip_mass_mg", ["12"]], ["slot.leak_mm2", "leak_mm2", ["1.5"]]]) {
    for (const value of values) {
      await page.getByRole("button", { name: "Back to the reed" }).click();
      const answered = page.waitForResponse(async (response) => response.url().endsWith("/try") && response.status() === 200 && response.request().postDataJSON().stage === "quick" && response.request().postDataJSON().set.length === 1);
      await knob(page, key).fill(value);
      const { results } = await (await answered).json();
      const file = `changed-${name}-${value}.toml`;
      const said = say("whatif", "--job", "demo/job.toml", "--reed", "3-blow-out", "--set", `${name}=${value}`, "--of", "onset,plucked", "--save", file);
      const predicted = say("predict", file);
      for (const result of ["onset_pressure_pa", "natural_frequency_hz"]) {
        const here = results[result];
        check(here.after.value === said.results[result].after.value, `${name} = ${value}: ${result} is ${here.after.value} on the page, ${said.results[result].after.value} by whatif`);
        check(here.before.value === own[result], `${result} is ${here.before.value} on the page, ${own[result]} by predict`);
        // The file of the changed reed holds fewer digits than it was computed with.
        check(Math.abs(here.after.value / predicted[result] - 1) < 1e-5, `${name} = ${value}: ${result} is ${here.after.value} on the page, ${predicted[result]} by predict of the file`);
      }
      await page.waitForFunction((words) => document.querySelector('.numbers td[data-key="starts from"]')?.textContent === words, results.onset_pressure_pa.after.shown);
    }
  }
  await page.getByRole("button", { name: "Back to the reed" }).click();
  await knob(page, "reed.tip_gap_mm").fill("0.31");
  await page.locator('.whatif[aria-busy="false"]').waitFor({ timeout: 60000 });
  await page.getByRole("button", { name: "Pin", exact: true }).click();
  await page.locator(".pins li").first().waitFor();
  for (const [key, value, words] of [["reed.tip_gap_mm", "0.31", "0.310 mm"], ["reed.tip_mass_mg", "9", "on the tip"], ["reed.thickness_mm", "0.2", "mm off"]]) {
    await page.getByRole("button", { name: "Back to the reed" }).click();
    await knob(page, key).fill(value);
    await page.getByRole("button", { name: "Plan it" }).click();
    await page.locator(".plan ol li").first().waitFor({ timeout: 60000 });
    check((await page.locator(".plan ol li").count()) >= 3, `the plan for ${key} has steps`);
    const told = await page.locator(".plan").textContent();
    check(told.includes(words) && told.includes("Stop"), `the plan for ${key}: ${told}`);
  }
  await knob(page, "reed.tip_gap_mm").fill("NaN");
  await page.waitForFunction(() => document.querySelector(".whatif .told-off").textContent.includes("not a finite number"));
  await knob(page, "reed.tip_gap_mm").fill("0.31");
  await page.getByRole("button", { name: "Hear both" }).click();
  await page.locator("audio").waitFor({ timeout: 60000 });
  check((await page.locator(".sound .care").textContent()).includes("Turn the loudness down"), "a caution on loudness");
  await audit(page, "what if");
  await picture(page, "whatif");
}

// From a move of the slider to the answer on the screen.
async function quickness(page) {
  await page.evaluate(() => performance.clearMeasures());
  const slider = page.locator('[id="knob-reed.tip_gap_mm-slider"]');
  for (let k = 0; k < MOVES; k += 1) {
    await slider.evaluate((node, value) => { node.value = value; node.dispatchEvent(new Event("input", { bubbles: true })); }, String(0.2 + 0.003 * k));
    await page.waitForFunction((count) => performance.getEntriesByName("window").length > count, k, { timeout: 30000, polling: 20 });
  }
  const all = await page.evaluate(() => ["quick", "window"].map((name) => performance.getEntriesByName(name).map((entry) => entry.duration)));
  for (const [k, name] of ["onset, choke and pitch", "the whole window"].entries()) {
    const sorted = all[k].sort((a, b) => a - b);
    const [median, late] = [0.5, 0.95].map((share) => sorted[Math.floor(share * (sorted.length - 1))]);
    console.log(`slider to ${name} on the screen: median ${median.toFixed(0)} ms, 95th percentile ${late.toFixed(0)} ms of ${sorted.length} (asked: ${ASKED_MS.median} and ${ASKED_MS.late})`);
    check(sorted.length >= MOVES, `${sorted.length} of ${MOVES} moves were answered`);
  }
}

// By the keyboard alone: refused in place, Enter to the next reed, Escape, undo.
async function entering(page) {
  await page.locator('[data-id="3-blow-out"]').focus();
  await cell(page, "tip_gap_mm").focus();
  await page.keyboard.press("Control+A");
  await page.keyboard.type("nan");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.querySelector("#cell-tip_gap_mm-told").textContent.includes("-0.5 to 3 mm"));
  check((await cell(page, "tip_gap_mm").getAttribute("aria-invalid")) === "true" && (await chosen(page)) === "3-blow-out", "a bad value stays where it is");
  await page.keyboard.press("Escape");
  check((await cell(page, "tip_gap_mm").inputValue()) === "0.09", "Escape brings back what was there");
  const cellsBefore = say("assess", "demo/job.toml").reeds.length;
  const began = performance.now();
  await page.keyboard.press("Control+A");
  await page.keyboard.type("0,31");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.querySelector('[data-id="3-blow-out"]').classList.contains("suits"), null, { timeout: 30000, polling: 10 });
  console.log(`one cell of 48 reeds changed: the new verdict after ${(performance.now() - began).toFixed(0)} ms`);
  check((await chosen(page)) === "3-blow-in", `Enter goes to ${await chosen(page)}`);
  check(await page.evaluate(() => document.activeElement.id === "cell-tip_gap_mm"), "the same column of the next reed has the focus");
  check(round("demo").includes('3,blow,out,"0,31"'), round("demo"));
  check(say("assess", "demo/job.toml").reeds.length === cellsBefore, "the command line reads the round");
  await page.getByRole("button", { name: "late", exact: true }).click();
  await page.waitForFunction(() => document.querySelector('.words [aria-pressed="true"]')?.textContent === "late");
  for (const left of ["3,blow,out", ""]) {
    await page.locator("#undo").click();
    await page.waitForFunction(() => document.getElementById("standing").textContent === "Undone." || document.getElementById("undo").disabled);
    await page.waitForTimeout(300);
    check(left ? round("demo").includes(left) : rounds("demo").length === 0, `after undo: ${rounds("demo")}`);
  }
}

// Nothing is wider than the screen; phone, tablet, desktop, light, dark and print as pictures.
async function screens(page) {
  for (const [name, [width, height]] of Object.entries(SCREENS)) {
    await page.setViewportSize({ width, height });
    const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    check(over <= 0, `on a ${name} the page is ${over} pixels too wide`);
    const small = await page.locator(".reed").evaluateAll((reeds) => reeds.filter((reed) => reed.getBoundingClientRect().width < 24 || reed.getBoundingClientRect().height < 40).length);
    check(small === 0, `on a ${name} ${small} reeds are hard to tap`);
    for (const scheme of ["light", "dark"]) {
      await page.emulateMedia({ colorScheme: scheme });
      await audit(page, `${name}, ${scheme}`);
      await picture(page, `${name}-${scheme}`);
    }
  }
  await page.emulateMedia({ media: "print", colorScheme: "light" });
  await picture(page, "print");
  await page.emulateMedia({ media: null, colorScheme: null });
}

// The work in order, charts, gaps.
async function theSet(page) {
  await judged(page);
  await page.getByRole("button", { name: "The set" }).click();
  await page.locator("ol.work li").first().waitFor({ timeout: 240000 });
  const listed = say("worklist", "demo/job.toml").reeds.filter((reed) => reed.order !== null).map((reed) => reed.id);
  const told = await page.locator("ol.work .link").evaluateAll((links) => links.map((link) => link.textContent.split(" ")[0]));
  check(told.join() === listed.join(), `work on the page: ${told}; by worklist: ${listed}`);
  await page.getByRole("button", { name: "Balance the gaps" }).click();
  await page.locator(".gaps svg").waitFor({ timeout: 240000 });
  await page.getByRole("button", { name: "Draw the charts" }).click();
  await page.locator(".charts svg").first().waitFor({ timeout: 240000 });
  const drawn = await page.locator(".chart svg").evaluateAll((charts) => charts.map((it) => it.querySelectorAll("[data-reed]").length));
  check(drawn.join() === "48,48,48,48,48,48", `reeds in the charts: ${drawn}`);
  await page.getByRole("button", { name: "What to test" }).click();
  await page.locator(".tests table").waitFor({ timeout: 240000 });
  const tests = say("protocol", "demo/job.toml");
  check((await page.locator(".tests tbody tr").count()) === tests.reeds.flatMap((reed) => reed.steps).length + tests.pairs.length + 3, "the tests of protocol");
  const sheet = await page.getByRole("link", { name: "Save the sheet to fill" }).evaluate((link) => fetch(link.href).then((answer) => answer.headers.get("content-disposition")));
  check(sheet === 'attachment; filename="protocol.csv"', `the sheet to fill is saved: ${sheet}`);
  await audit(page, "the set");
  await picture(page, "set");
  // A tap on a reed in a chart goes to it.
  await page.locator('.charts [data-reed="9-draw-in"]').first().click({ force: true });
  check((await chosen(page)) === "9-draw-in" && (await page.locator(".one").isVisible()), `a tap goes to ${await chosen(page)}`);
  await page.getByRole("button", { name: "The set" }).click();
  await page.locator("ol.work button", { hasText: "Work on it" }).first().click();
  check((await chosen(page)) === listed[0] && (await page.locator("details.work").getAttribute("open")) !== null, "Work on it opens the work of that reed");
  await page.locator("#work-minutes").fill("2");
  await page.getByRole("button", { name: "Done", exact: true }).click();
  await page.waitForFunction(() => document.getElementById("standing").textContent.includes("is written down"));
  check(/,2/.test(round("demo")), round("demo"));
}

// A second window writes another value: refused with both shown, and one is chosen.
async function twoWindows(context, page, served) {
  const other = await windowOn(context, `${served.address}#8-blow-out`);
  await page.locator('[data-id="8-blow-out"]').click();
  await cell(other, "softest_blow_pa").waitFor();
  await cell(page, "softest_blow_pa").fill("90");
  await cell(other, "softest_blow_pa").fill("95");
  await cell(page, "softest_blow_pa").press("Enter");
  await page.waitForFunction(() => document.querySelector('.reed[aria-pressed="true"]').dataset.id !== "8-blow-out");
  await cell(other, "softest_blow_pa").press("Enter");
  await other.locator("#cell-softest_blow_pa-told button").first().waitFor();
  const both = await other.locator("#cell-softest_blow_pa-told").textContent();
  check(both.includes("90") && both.includes("95"), `both values: ${both}`);
  await audit(other, "two values");
  await other.getByRole("button", { name: "Write 95" }).click();
  await page.locator('[data-id="8-blow-out"]').click();
  await page.waitForFunction(() => document.querySelector("#cell-softest_blow_pa").value === "95");
  await other.close();
}

// The program is killed in mid-entry: what was typed is kept, and saved when it is there again.
async function restart(page, served) {
  await page.locator('[data-id="9-blow-out"]').click();
  await cell(page, "softest_blow_pa").fill("120");
  await end(served, "SIGKILL");
  await cell(page, "softest_blow_pa").press("Enter");
  await page.waitForFunction(() => document.getElementById("trouble").textContent.includes("9-blow-out 120"));
  await audit(page, "the program is gone");
  const again = await open("demo/job.toml");
  check(again.address === served.address, "the program is found where it was");
  await page.waitForFunction(() => document.getElementById("trouble").hidden, null, { timeout: 20000 });
  check(/9,blow,out.*120/.test(round("demo", rounds("demo").length - 1)), round("demo"));
  check((await end(again)) === 0, "it ends cleanly");
}
