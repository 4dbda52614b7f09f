// The job from the first look to the bolted joint, as two people would do it: by touch on a phone, by mouse at a desk.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { carried, enter, launch } from "./harness/browser.mjs";
import { look } from "./harness/look.mjs";
import { apart, hand, markOf, onScreen } from "./harness/photo.mjs";
import { press } from "./harness/press.mjs";
import { OpenNotebook, sample } from "./harness/program.mjs";
import { bringIn, newFace, writeAs } from "./harness/start.mjs";
import { choose, damage, doNext, fold, millFace, next, planCut, read, want } from "./harness/work.mjs";

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

/** A loose hole near the joint's middle: the thread gone for a third of its depth. */
const READINGS = {
  "Depth to the bottom": ["32", "depth gauge"],
  "Metal under the bottom": ["9", "caliper"],
  "Centre to the nearest edge": ["22", "steel rule"],
  "Centre to the nearest hole": ["60", "caliper"],
};
const DAMAGE = { from: "0", to: "9", diameter: "12.5", off: "0.8" };
const WANTED = { thread: "3/8-16", bolt: "SAE J429 grade 5", through: "blind" };
const WAY = "Key-locking insert, heavy duty";

for (const [size, options] of carried) {
  describe(`the job, ${size}`, () => {
    let notebook, context, page, faults, by, facePath, photoPath, holes;
    const go = (path) => page.goto(new URL(path, notebook.address).href);
    before(async () => {
      notebook = await OpenNotebook.fresh();
      ({ context, page, faults } = await enter(browser, notebook, options));
      by = hand(page, context, options);
      const marks = JSON.parse(await readFile(join(sample, "marks.json"), "utf8")).marks;
      holes = marks.map(({ px, py }) => [px, py]);
    });
    after(async () => {
      await context?.close();
      await notebook?.remove();
    });

    test("an empty notebook says what comes first", async () => {
      await look(page, `${size}-01-castings-empty`);
      await writeAs(page, "R. Sample");
      await go("/settings");
      await look(page, `${size}-02-settings`);
    });

    test("a casting, its face, and the cut still to come", async () => {
      await newFace(page, { casting: "Sample engine, water jacket", face: "Pump-end cover joint" });
      facePath = new URL(page.url()).pathname;
      await look(page, `${size}-03-face-empty`);
      await planCut(page, "0.5");
      await page.locator("dl.facts", { hasText: "Planned" }).getByText("0.5 mm").first().waitFor();
    });

    test("every hole of the photo is marked, one after the other", async () => {
      await bringIn(page);
      photoPath = new URL(page.url()).pathname;
      for (const [index, place] of holes.entries()) {
        const at = await onScreen(page, place);
        await by.slide([at]);
        await page.locator(`.mark[aria-label^="Hole ${index + 1},"]`).waitFor();
        const box = await page.locator(".marked").boundingBox();
        assert.ok(apart(await markOf(page, index + 1), place) < (0.75 * 1800) / box.width);
      }
      assert.equal(await page.locator(".mark").count(), 14);
      await page.getByRole("button", { name: "Look", exact: true }).click();
      await look(page, `${size}-04-photo-marked`);
    });

    test("a hole is read, its damage and its thread are said", async () => {
      await go(photoPath);
      await press(page, page.locator(".mark-list a", { hasText: "Hole 4" }));
      await page.getByRole("heading", { level: 1, name: "Hole 4" }).waitFor();
      assert.equal(await next(page), "Measure it");
      await look(page, `${size}-05-hole-unread`);
      await read(page, READINGS);
      assert.equal(await next(page), "Say what is missing");
      await damage(page, DAMAGE);
      assert.equal(await next(page), "Say which thread it shall have");
      await want(page, WANTED);
      assert.equal(await next(page), "Choose a remedy");
    });

    test("a wrong reading is struck with a reason and stays readable", async () => {
      await read(page, { "Centre to the nearest edge": ["2.2", "steel rule"] });
      const line = page.locator(".journal > li", { hasText: "2.2 mm" }).first();
      assert.equal(await next(page), "Settle what is in question", "readings that contradict each other show");
      await line.locator("summary", { hasText: "Strike" }).click();
      await line.getByLabel("Why it is wrong").fill("read in centimetres");
      await press(page, line.getByRole("button", { name: "Strike it" }));
      await page.locator(".journal > li", { hasText: "read in centimetres" }).first().waitFor();
      await page.locator(".journal .struck", { hasText: "2.2 mm" }).waitFor();
      assert.equal(await next(page), "Choose a remedy");
    });

    test("the remedies stand side by side with their reasons, and one is chosen", async () => {
      const ways = page.locator("article.way");
      assert.ok((await ways.count()) >= 4);
      for (const card of await ways.all()) {
        if (!(await card.isVisible())) continue;
        assert.match(await card.locator(".verdict").innerText(), /Fits|Fits with care|Does not fit|Not known/);
      }
      await look(page, `${size}-06-hole-remedies`);
      await choose(page, WAY, "it holds more than the thin wall");
      await page.getByText("Because it holds more than the thin wall", { exact: true }).waitFor();
    });

    test("setting before the face cut asks for a reason first", async () => {
      const step = page.locator(".steps > li", { hasText: "Set the insert" });
      await step.locator("summary", { hasText: /recording it$/ }).click();
      await step.getByLabel(/^Its top below the face/).fill("1");
      await press(page, step.getByRole("button", { name: "Record it as set" }));
      const alert = page.getByRole("alert");
      await alert.waitFor();
      assert.match(await alert.innerText(), /Nothing was recorded/);
      await look(page, `${size}-07-set-refused`);
      await page.goto(page.url().replace(/\/set$/, ""));
      assert.equal(await page.locator(".journal > li", { hasText: /^Set/ }).count(), 0);
    });

    test("the steps lead from the end mill to the proof, with the face cut before the insert is set", async () => {
      const done = [];
      for (let step = 0; step < 20; step += 1) {
        const coming = await next(page);
        if (coming.startsWith("Nothing")) break;
        if (coming === "Cut the face") {
          await look(page, `${size}-08-hole-dry-fitted`);
          await millFace(page, "0.5 mm");
        } else {
          assert.equal(await doNext(page), coming);
          assert.equal(await page.getByRole("alert").count(), 0);
        }
        done.push(coming);
      }
      const order = [/end mill/, /^Drill/, /^Tap/, /^Try the insert/, /^Cut the face/, /^Set the insert/, /keys/, /rule across/, /^Prove/];
      const places = order.map((title) => done.findIndex((step) => title.test(step)));
      assert.ok(!places.includes(-1), done.join("; "));
      assert.deepEqual(places, [...places].sort((a, b) => a - b), done.join("; "));
      assert.equal(await next(page), "Nothing: this hole is proved");
      const reached = await page.locator(".hole-head .stages li.reached").allInnerTexts();
      assert.match(reached.join(" "), /proved/);
      await look(page, `${size}-09-hole-proved`);
    });

    test("another hole is set before the face cut, with its reason in the journal", async () => {
      await go(facePath);
      await planCut(page, "1.5");
      await press(page, page.getByRole("link", { name: /^Hole 5 / }));
      await read(page, READINGS);
      await damage(page, DAMAGE);
      await want(page, WANTED);
      await choose(page, WAY, "as its neighbour");
      while (!(await next(page)).startsWith("Cut the face")) await doNext(page);
      const step = page.locator(".steps > li", { hasText: "Set the insert" });
      await step.locator("summary", { hasText: /recording it$/ }).click();
      await step.getByLabel("Why it is done now").fill("carries the drill plate");
      await step.getByLabel(/^Its top below the face/).fill("2");
      await press(page, step.getByRole("button", { name: "Record it as set" }));
      await page.locator(".journal > li", { hasText: "carries the drill plate" }).first().waitFor();
      await look(page, `${size}-10-hole-set-early`);
    });

    test("the face, the castings and the photo say how far along all is", async () => {
      await go(facePath);
      await page.getByRole("link", { name: /^Hole 4 .*proved/ }).waitFor();
      await look(page, `${size}-11-face`);
      await go("/");
      await look(page, `${size}-12-castings`);
      await press(page, page.getByRole("link", { name: "Sample engine, water jacket" }));
      await look(page, `${size}-13-casting`);
      await go(photoPath);
      assert.equal(await page.locator('.mark[aria-label="Hole 4, proved"]').count(), 1);
      await look(page, `${size}-14-photo`);
    });

    test("the sheet carries the marked photo, the holes and what was recorded", async () => {
      await go(`${facePath}/sheet`);
      assert.equal(await page.locator(".marked .marks > *").count(), 14);
      await page.locator("main", { hasText: "proved" }).waitFor();
      await look(page, `${size}-15-sheet`);
      if (size === "phone") return; // paper is wider than a phone
      await page.emulateMedia({ media: "print" });
      await look(page, `${size}-16-sheet-print`);
      await page.emulateMedia({ media: "screen" });
    });

    test("in the dark all of it holds up too", async () => {
      await page.emulateMedia({ colorScheme: "dark" });
      for (const [name, path] of [["castings", "/"], ["face", facePath], ["photo", photoPath], ["settings", "/settings"]]) {
        await go(path);
        await look(page, `${size}-dark-${name}`);
      }
      await go(facePath);
      await press(page, page.getByRole("link", { name: /^Hole 4 / }));
      await look(page, `${size}-dark-hole`);
      await page.emulateMedia({ colorScheme: "light" });
    });

    test("the browser complained of nothing", () => assert.deepEqual(faults, []));
  });
}
