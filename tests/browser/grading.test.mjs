// The first look at a face in the barn: 20 holes are marked and graded by taps alone. The photo and
// the holes are invented.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openPage, testedSizes } from "./harness/browser.mjs";
import { checkPage, visibleScreenshot } from "./harness/check-page.mjs";
import { addFace, addPhoto } from "./harness/first-steps.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { pointer, toScreen } from "./harness/photo.mjs";
import { TestNotebook } from "./harness/program.mjs";

/** The aim for a face of 20 holes. */
const TAPS = 45;

const HOLES = 20;
/** How many of them are marked on the face's page. */
const ON_FACE = 3;
const GRADES = ["Loose", "Not square", "Broken bolt", "Broken tool", "Off center", "Crater", "Welded or hard", "Look later", "Sound"];

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

for (const [size, options] of testedSizes) {
  describe(`a first look, ${size}`, () => {
    let notebook, context, page, errors, pointing, facePath;
    const done = { taps: 0 };
    before(async () => {
      notebook = await TestNotebook.create();
      ({ context, page, errors } = await openPage(browser, notebook, options));
      pointing = pointer(page, context, options);
      await addFace(page);
      facePath = new URL(page.url()).pathname;
      await addPhoto(page);
      await page.goto(new URL(facePath, page.url()).href);
    });
    after(async () => {
      await context?.close();
      await notebook?.remove();
    });

    const mark = (number) => page.locator(`.mark[aria-label^="Hole ${number},"]`);
    const condition = (number) => mark(number).getAttribute("data-condition");
    const button = (name) => page.locator("#grade").getByRole("button", { name, exact: true });

    /** Taps what is in view; a person who has to scroll first would not call it one tap. */
    async function tap(control) {
      const box = await control.boundingBox();
      const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
      assert.ok(y > 0 && y < options.viewport.height, `${await control.textContent()} is in view at ${y}`);
      done.taps += 1;
      await pointing.tap([x, y]);
    }

    /** Scrolls the photo to the top of the screen, below the page's header. */
    async function showPhoto() {
      await page.locator(".viewport").evaluate((viewport) => viewport.scrollIntoView({ block: "start" }));
      await page.evaluate(() => scrollBy(0, -60));
    }

    /** A face's holes: a rectangle of 6 by 6, in the picture's pixels. */
    async function places() {
      const { width, height } = await page.locator(".marking").evaluate(({ dataset }) => ({ ...dataset }));
      const [w, h] = [Number(width), Number(height)];
      const side = [0, 1, 2, 3, 4].map((at) => 0.15 + at * 0.14);
      const across = side.flatMap((part) => [[part * w, 0.2 * h], [(part + 0.14) * w, 0.8 * h]]);
      const down = side.flatMap((part) => [[0.15 * w, (part + 0.14) * h], [0.85 * w, part * h]]);
      return [...across, ...down].slice(0, HOLES);
    }

    /** From the face's page, where the first holes were marked, to the photo's own. */
    async function openPhoto() {
      await page.locator("#hole-list", { hasText: /Loose[^]*Not square[^]*Broken bolt/ }).waitFor();
      await checkPage(page, `${size}-marked-on-face`);
      const link = page.getByRole("link", { name: "Mark holes" });
      await link.scrollIntoViewIfNeeded();
      done.taps += 1;
      await clickAndLoad(page, link);
      await page.getByLabel("Next mark").waitFor();
      await showPhoto();
    }

    test("20 holes are marked and graded with at most 45 taps and nothing typed", async () => {
      await page.getByLabel("Next mark").waitFor();
      await showPhoto();
      for (const [index, place] of (await places()).entries()) {
        const number = index + 1;
        if (number === ON_FACE + 1) await openPhoto();
        done.taps += 1;
        await pointing.hold([await toScreen(page, place)]);
        await mark(number).waitFor();
        const name = GRADES[index % GRADES.length];
        await page.getByText(`Hole ${number}: first look`).waitFor();
        if (index === 4) await visibleScreenshot(page, `${size}-grading`);
        await tap(button(name));
        await page.locator(".status", { hasText: `Hole ${number}: ${name.toLowerCase()}.` }).waitFor();
      }
      assert.equal(await page.locator(".mark").count(), HOLES);
      assert.equal(await page.locator(".mark[data-condition=none]").count(), 0);
      assert.ok(done.taps <= TAPS, `${done.taps} taps`);
      console.log(`taps to mark and grade ${HOLES} holes, ${size}: ${done.taps}, typed: 0`);
    });

    test("the nine choices are large enough for a thumb in a glove", async () => {
      await page.getByRole("link", { name: "Grade hole 3" }).click();
      await page.getByText("Hole 3: first look").waitFor();
      const boxes = await page.locator(".grade-buttons button").evaluateAll((all) => all.map((it) => it.getBoundingClientRect().toJSON()));
      assert.equal(boxes.length, 9);
      for (const { width, height } of boxes) assert.ok(width >= 48 && height >= 48, `${width} x ${height}`);
      await checkPage(page, `${size}-graded`);
    });

    test("a badge says its condition by letter and covers no hole", async () => {
      assert.deepEqual(
        await page.locator(".mark .letter").evaluateAll((all) => all.map((letter) => letter.dataset.letter)),
        [...Array(HOLES).keys()].map((index) => "LNBTOCW?S"[index % 9]),
      );
      const boxes = (selector) => page.locator(selector).evaluateAll((all) => all.map((it) => it.getBoundingClientRect().toJSON()));
      const [rings, discs] = [await boxes(".mark .ring.edge"), await boxes(".mark .disc")];
      for (const disc of discs) {
        for (const ring of rings) {
          const [dx, dy] = ["x", "y"].map((axis) => disc[axis] - ring[axis] + (disc.width - ring.width) / 2);
          assert.ok(Math.hypot(dx, dy) >= (disc.width + ring.width) / 2, "a badge covers a hole");
        }
      }
    });

    test("undo takes back a grade", async () => {
      await page.getByRole("link", { name: "Grade hole 3" }).click();
      await page.getByText("Hole 3: first look").waitFor();
      await button("Sound").click();
      await page.locator(".status", { hasText: "Hole 3: sound." }).waitFor();
      assert.equal(await condition(3), "sound");
      await button("Undo").click();
      await page.locator(".status", { hasText: "Condition of hole 3 struck out." }).waitFor();
      assert.equal(await condition(3), "broken-bolt", "the one before counts again");
    });

    test("all the rest are graded sound in one tap, and undone in one", async () => {
      await showPhoto();
      const [x, y] = await page.locator(".marking").evaluate(({ dataset }) => [dataset.width / 2, dataset.height / 2]);
      for (const [number, dx] of [[21, -0.2], [22, 0], [23, 0.2]]) {
        await pointing.hold([await toScreen(page, [x * (1 + dx), y])]);
        await mark(number).waitFor();
      }
      await button("All the rest are sound (3)").click();
      await page.locator(".status", { hasText: "3 holes graded sound." }).waitFor();
      assert.equal(await condition(22), "sound");
      assert.equal(await page.locator("#grade").getByText("first look").count(), 0, "nothing is left to grade");
      await button("Undo").click();
      await page.locator(".status", { hasText: "3 conditions struck out." }).waitFor();
      assert.equal(await condition(22), "none");
      await page.getByText("Hole 21: first look").waitFor();
    });

    test("a letter grades by keyboard", async () => {
      await page.locator(".viewport").focus();
      await page.keyboard.press("c");
      await page.locator(".status", { hasText: "Hole 21: crater." }).waitFor();
      await page.getByText("Hole 22: first look").waitFor();
    });

    test("marks are shown by condition, and badges are hidden", async () => {
      await page.getByText("Show or hide marks").click();
      await page.getByRole("radio", { name: "Crater" }).check();
      assert.equal(await page.locator(".mark:visible").count(), 3);
      assert.equal(await page.locator(".mark-list > li:visible").count(), 3);
      await page.getByRole("radio", { name: "Not graded" }).check();
      assert.equal(await page.locator(".mark:visible").count(), 2);
      await visibleScreenshot(page, `${size}-filtered`);
      await page.getByRole("radio", { name: "All" }).check();
      await page.getByLabel("Hide badges").check();
      assert.equal(await page.locator(".mark:visible").count(), 0);
    });

    test("the browser reports no error", () => assert.deepEqual(errors, []));
  });
}
