// A tool run in a real browser: holes stepped between by keys and swipe, recorded with one tap each,
// and undone.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openPage, testedSizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { addFace, saveSettings } from "./harness/first-steps.mjs";
import { addHole, addMeasurements, chooseRemedy, describeDamage, nextStep, planFaceCut, recordFaceCut, setThread } from "./harness/hole-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { TestNotebook } from "./harness/program.mjs";

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

const READINGS = {
  "Hole depth": ["38", "depth gauge"],
  "Floor thickness": ["12", "caliper"],
  "Edge distance": ["32", "steel rule"],
  "Nearest hole": ["64", "caliper"],
};
const DAMAGE = { from: "0", to: "22", diameter: "9.4", offset: "0" };
const WANTED = { thread: "3/8-16", through: "blind" };

for (const [size, options] of testedSizes) {
  describe(`tool runs, ${size}`, () => {
    let notebook, context, page, errors, facePath;
    const go = (path) => page.goto(new URL(path, notebook.address).href);
    const heading = () => page.locator("#run-hole").innerText();
    const tap = (name) => clickAndLoad(page, page.locator(".run-now .one-tap").getByRole("button", { name }));
    const swipe = async (from, to) => {
      await page.waitForLoadState(); // its script listens then
      const session = await context.newCDPSession(page);
      const send = (type, x) => session.send("Input.dispatchTouchEvent", { type, touchPoints: x === null ? [] : [{ x, y: 300 }] });
      await send("touchStart", from);
      await send("touchMove", to);
      await send("touchEnd", null);
    };
    before(async () => {
      notebook = await TestNotebook.create();
      ({ context, page, errors } = await openPage(browser, notebook, options));
      await saveSettings(page, "R. Sample");
      await addFace(page, { casting: "Invented bracket", face: "Joint" });
      facePath = new URL(page.url()).pathname;
      await planFaceCut(page, "0.5");
      for (let hole = 1; hole <= 3; hole += 1) {
        await go(facePath);
        await addHole(page);
        await addMeasurements(page, READINGS);
        await describeDamage(page, DAMAGE);
        await setThread(page, WANTED);
        await chooseRemedy(page, "Wire thread insert", "in the drawer");
      }
    });
    after(async () => {
      await context?.close();
      await notebook?.remove();
    });

    test("the face lists the tools that its holes need next", async () => {
      await go(facePath);
      await clickAndLoad(page, page.getByRole("link", { name: "Tool runs" }));
      const first = page.locator(".runs a").first();
      assert.match(await first.innerText(), / drill\s.*3 holes/s);
      await checkPage(page, `${size}-runs`);
      await clickAndLoad(page, first);
      assert.equal(await heading(), "Hole 1");
      await checkPage(page, `${size}-run`);
    });

    test("arrow keys and a swipe step between the holes", async () => {
      await page.keyboard.press("ArrowRight");
      await page.locator("#run-hole", { hasText: "Hole 2" }).waitFor();
      await page.keyboard.press("ArrowLeft");
      await page.locator("#run-hole", { hasText: "Hole 1" }).waitFor();
      if (size !== "phone") return;
      await swipe(300, 80);
      await page.locator("#run-hole", { hasText: "Hole 2" }).waitFor();
      await swipe(80, 300);
      await page.locator("#run-hole", { hasText: "Hole 1" }).waitFor();
    });

    test("one tap records a hole and brings the next; Undo takes it back", async () => {
      await tap("Done as planned");
      assert.equal(await heading(), "Hole 2");
      await clickAndLoad(page, page.locator(".notice").getByRole("button", { name: "Undo" }));
      await page.getByText("Undone. It stays readable in the log.").waitFor();
      await page.getByText("0 of 3 holes done, 3 ready").waitFor();
      assert.equal(await heading(), "Hole 1");
      await checkPage(page, `${size}-run-undone`);
    });

    test("another value is one tap more", async () => {
      await page.locator(".run-now summary", { hasText: "Other value" }).click();
      await page.getByLabel(/^Depth reached/).fill("30");
      await clickAndLoad(page, page.getByRole("button", { name: "Record cut" }));
      await page.getByText("1 of 3 holes done, 2 ready").waitFor();
    });

    test("the holes are worked off, tool by tool, to passed", async () => {
      for (let taps = 0; taps < 60; taps += 1) {
        await go(`${facePath}/runs`);
        const ready = page.locator("main > .runs a");
        if ((await ready.count()) === 0) {
          const cut = page.getByRole("link", { name: "Record it on the face's page" });
          if ((await cut.count()) === 0) break;
          await recordFaceCut(page, "0.5 mm");
          continue;
        }
        await clickAndLoad(page, ready.first());
        const button = page.locator(".run-now .one-tap button").first();
        while (await button.count()) await clickAndLoad(page, button);
        await page.getByText("All holes are done with this tool.").waitFor();
      }
      await go(facePath);
      assert.equal(await page.getByRole("link", { name: /^Hole \d .*passed/ }).count(), 3);
    });

    test("on a hole's page each step takes one tap", async () => {
      await go(facePath);
      await addHole(page);
      await addMeasurements(page, READINGS);
      await describeDamage(page, DAMAGE);
      await setThread(page, WANTED);
      await chooseRemedy(page, "Wire thread insert", "in the drawer");
      let taps = 0;
      while (!(await nextStep(page)).startsWith("Done")) {
        await clickAndLoad(page, page.locator(".steps > li.now .one-tap button").first());
        taps += 1;
        assert.ok(taps < 12, "more taps than steps");
      }
      // Drill, tap, gauge, countersink, install, stake check, run in, square, final check.
      assert.equal(taps, 9);
      await checkPage(page, `${size}-hole-by-taps`);
    });

    test("the browser reports no error", () => assert.deepEqual(errors, []));
  });
}
