// A piece on the set: the page says what the command says, tells each note, and stops what is not wanted.
import { join } from "node:path";
import { check } from "./browser.js";

const done = (page) => page.locator(".music .chart svg").waitFor({ timeout: 240000 });

// `pieces` is the folder of the project's own; `say` asks the command line.
export async function music(page, pieces, { audit, picture, say, chosen }) {
  await page.getByRole("button", { name: "The music" }).click();
  await page.locator("#piece option").nth(5).waitFor({ state: "attached" });
  const said = say("rehearse", "demo/job.toml", join(pieces, "accents.mid"));
  const began = performance.now();
  await page.locator("#piece").selectOption("accents");
  await done(page);
  console.log(`a piece of ${said.notes.length} notes rehearsed after ${((performance.now() - began) / 1000).toFixed(1)} s`);
  check((await page.locator(".music [data-note]").count()) >= said.notes.length, "each note has its bar");
  const words = await page.locator(".music").textContent();
  check(words.includes(`${said.counts.speaks} of ${said.notes.length} notes speak as asked`), `the page: ${words.slice(0, 200)}`);
  const ids = await page.locator(".music ul.work .link").allTextContents();
  check(ids.join() === said.asked_too_much.map((it) => it.reed).join(), `asked too much on the page: ${ids}`);
  // A note is tapped where its bar is drawn.
  const number = said.notes.findIndex((note) => note.outcome === "late");
  const { on } = said.notes[number];
  await page.locator(`.music [data-note="${number}"]`).first().click({ position: { x: 2, y: 2 }, force: true });
  await page.waitForFunction((title) => document.querySelector(".played h3")?.textContent.startsWith(title), `Note ${number + 1}:`);
  const told = await page.locator(".played").textContent();
  check(told.includes(on.reed) && told.includes("late") && told.includes(said.notes[number].velocity), `a late note: ${told}`);
  await page.getByRole("button", { name: "Later note" }).press("Enter");
  check((await page.locator(".played h3").textContent()).startsWith(`Note ${number + 2}:`), "the next note by a key");
  for (const name of ["Hear this note", "Hear ten seconds from here"]) {
    await page.getByRole("button", { name }).click();
    await page.locator(".music audio").waitFor({ timeout: 120000 });
    const lasts_s = await page.locator(".music audio").evaluate((audio) => new Promise((known) => { const told_s = () => known(audio.duration); if (audio.readyState) told_s(); else audio.addEventListener("loadedmetadata", told_s); }));
    check(lasts_s > 0.1 && lasts_s < 10.5, `${name}: ${lasts_s} s`);
  }
  check(/hearing|loud/i.test(await page.locator(".music .care").textContent()), "a caution on loudness");
  await audit(page, "the music");
  await picture(page, "music");
  // A file of the user's own; one that is none.
  await page.locator("#piece-file").setInputFiles(join(pieces, "slow-air.mid"));
  await page.waitForFunction(() => document.querySelector(".music h3")?.textContent.startsWith("slow-air:"), null, { timeout: 240000 });
  await page.locator("#piece-file").setInputFiles({ name: "no-piece.mid", mimeType: "audio/midi", buffer: Buffer.from("no piece") });
  await page.waitForFunction(() => document.querySelector(".music .told-off")?.textContent.includes("no standard MIDI file"));
  await otherwise(page, pieces, { audit, say });
  await stopped(page);
  await page.locator("#piece").selectOption("slow-air");
  await done(page);
  await page.locator(".music ul.work .link, .played .link").first().click();
  check((await page.locator(".one").isVisible()) && Boolean(await chosen(page)), "a reed of the piece is gone to");
}

// Faster and lower, by keyboard alone, as the command plays it; what is beyond the range is refused with it.
async function otherwise(page, pieces, { audit, say }) {
  await page.locator("#piece").selectOption("slow-air");
  await done(page);
  check((await page.locator("#piece-bpm-own").textContent()) === "Written: 58", "the piece's own tempo stands at the field");
  const said = say("rehearse", "demo/job.toml", join(pieces, "slow-air.mid"), "--at-bpm", "120", "--transpose", "-2");
  await page.getByLabel("Tempo").focus();
  await page.keyboard.type("120");
  await page.keyboard.press("Tab");
  check((await page.evaluate(() => document.activeElement.id)) === "piece-semitones", "Tab goes from tempo to transposition");
  await page.keyboard.type("-2");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.querySelector(".music h3")?.textContent.includes("at 120 quarter notes a minute, written at 58, 2 semitones lower"), null, { timeout: 240000 });
  const words = await page.locator(".music").textContent();
  const counted = said.counts.speaks === said.notes.length ? `All ${said.notes.length} notes speak` : `${said.counts.speaks} of ${said.notes.length} notes speak as asked`;
  check(words.includes(counted), `faster and lower: ${counted}: ${words.slice(0, 400)}`);
  const ids = await page.locator(".music ul.work .link").allTextContents();
  check(ids.join() === said.asked_too_much.map((it) => it.reed).join(), `asked too much, faster and lower: ${ids}`);
  await audit(page, "the music otherwise");
  await page.getByLabel("Tempo").fill("0");
  await page.getByRole("button", { name: "Rehearse it so" }).press("Enter");
  await page.waitForFunction(() => document.querySelector(".music [role=alert]")?.textContent.includes("1 to 1000 quarter notes a minute"));
}

// What is stopped is left, and the next is begun soon.
async function stopped(page) {
  await page.locator("#piece").selectOption("fast-repeats");
  await page.getByRole("button", { name: "Stop", exact: true }).waitFor();
  await page.waitForTimeout(400);
  const began = performance.now();
  const left = page.waitForResponse((response) => response.url().includes("rehearse?piece=fast-repeats"), { timeout: 120000 });
  await page.getByRole("button", { name: "Stop", exact: true }).click();
  check((await page.locator(".music").textContent()).includes("Stopped."), "it says that it is stopped");
  const { status } = await left.then((response) => ({ status: response.status() }));
  console.log(`a piece under way is left ${(performance.now() - began).toFixed(0)} ms after Stop (answered ${status})`);
  check(status === 409, `a piece that is stopped is answered ${status}`);
}
