// What changes after the work takes a hole back: a deeper face cut, a reading, a value out of the plan.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openPage, testedSizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { addFace, saveSettings } from "./harness/first-steps.mjs";
import { addHole, addMeasurements, answerQuestions, chooseRemedy, describeDamage, nextStep, openFold, openOtherValue, planFaceCut, recordNextStep, setThread } from "./harness/hole-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { TestNotebook } from "./harness/program.mjs";

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

const READINGS = {
  "Hole depth": ["1.500", "depth gauge"],
  "Floor thickness": [".500", "caliper"],
  "Edge distance": ["1.250", "caliper"],
  "Nearest hole": ["2.500", "caliper"],
};

for (const [size, options] of testedSizes) {
  describe(`reopening, ${size}`, () => {
    let notebook, context, page, errors, facePath, holePath;
    const go = (path) => page.goto(new URL(path, notebook.address).href);
    const question = () => page.locator(".question").innerText();
    const problems = () => page.locator("section", { has: page.getByRole("heading", { name: "Open problems" }) });
    const step = (name) => page.locator(".steps > li", { has: page.getByRole("heading", { name: new RegExp(`^${name}`) }) });
    /** Fills in a field of the next step and records it. */
    const record = async (name, label, value) => {
      await openOtherValue(step(name));
      await step(name).getByLabel(label).fill(value);
      await clickAndLoad(page, step(name).getByRole("button", { name: /^Record/ }));
    };
    const cutFace = async (removed) => {
      await go(facePath);
      await openFold(page, "Record a cut");
      await page.getByLabel(/^Stock removed/).first().fill(removed);
      await clickAndLoad(page, page.getByRole("button", { name: "Record cut" }));
    };
    before(async () => {
      notebook = await TestNotebook.create();
      ({ context, page, errors } = await openPage(browser, notebook, options));
      await saveSettings(page, "R. Sample", { unit: "inches" });
      await addFace(page);
      facePath = new URL(page.url()).pathname;
      await planFaceCut(page, ".020");
      holePath = await addHole(page);
      await addMeasurements(page, READINGS);
      await describeDamage(page, { from: "0", to: ".9", diameter: ".370", offset: "0" });
      await setThread(page, { thread: "3/8-16", bolt: "SAE J429 grade 5", through: "blind" });
      await chooseRemedy(page, "Key-locking insert, thin wall", "it is in the drawer");
    });
    after(async () => {
      await context?.close();
      await notebook?.remove();
    });

    test("a hole drilled too shallow asks, wants a reason, and stays open", async () => {
      await record("Drill", /^Depth reached/, ".300");
      assert.match(await question(), /drilled only \.300 in deep/i);
      await checkPage(page, `${size}-drilled-too-shallow`);
      await clickAndLoad(page, page.getByRole("button", { name: "It is right, save it" }));
      await page.locator(".question").getByLabel("Reason").or(step("Drill").getByLabel(/^Reason/)).first().fill("the bit broke");
      await answerQuestions(page);
      assert.match(await problems().innerText(), /Drilled only \.300 in deep/);
      assert.match(await nextStep(page), /^Drill/);
      await page.getByText("drill to .300 in").first().waitFor();
      await checkPage(page, `${size}-open-problem`);
      await record("Drill", /^Depth reached/, "1.050");
      assert.equal(await problems().count(), 0);
    });

    test("a failed trial fit is followed by a later one", async () => {
      await record("Tap", /^Depth reached/, ".590");
      await openOtherValue(step("Trial-fit"));
      await step("Trial-fit").getByRole("radio").nth(1).check();
      await clickAndLoad(page, step("Trial-fit").getByRole("button", { name: /^Record/ }));
      assert.match(await problems().innerText(), /trial fit failed/i);
      assert.match(await recordNextStep(page), /^Trial-fit/);
      assert.equal(await problems().count(), 0);
    });

    test("a cut deeper than planned asks, reopens the thread, and is corrected in two presses", async () => {
      await cutFace(".035");
      assert.match(await question(), /more than the \.020 in planned(.|\n)*hole 1 does not hold/i);
      await checkPage(page, `${size}-cut-deeper-than-planned`);
      await answerQuestions(page);
      assert.match(await problems().innerText(), /Hole 1: tapped only \.555 in deep.*tap \.005 in deeper before installing/);
      await checkPage(page, `${size}-face-with-open-problem`);
      await go(holePath);
      assert.match(await nextStep(page), /^Tap/);
      await go(facePath);
      const line = page.locator("#milled .journal > li").first();
      await line.locator("summary", { hasText: "Correct" }).click();
      await line.getByLabel(/^Stock removed/).fill(".020");
      await clickAndLoad(page, line.getByRole("button", { name: "Save correction" }));
      assert.equal(await problems().count(), 0);
      await page.getByText(".020 in removed").waitFor();
    });

    test("an insert that stands proud and two of four keys ask", async () => {
      await go(holePath);
      while (/^(Countersink|Broach)/.test(await nextStep(page))) await recordNextStep(page);
      await record("Install the insert", /^Top below face/, "-.010");
      assert.match(await question(), /stands \.010 in above the face/);
      await step("Install the insert").getByLabel(/^Top below face/).fill(".020");
      await clickAndLoad(page, step("Install the insert").getByRole("button", { name: /^Record/ }));
      while (/^Broach/.test(await nextStep(page))) await recordNextStep(page);
      await record("Stake the keys", /^Keys staked/, "2");
      assert.match(await question(), /2 of 4 keys driven/);
      await step("Stake the keys").getByLabel(/^Keys staked/).fill("4");
      await clickAndLoad(page, step("Stake the keys").getByRole("button", { name: /^Record/ }));
    });

    test("a passed hole says what reopened it", async () => {
      for (let at = 0; at < 6 && !(await nextStep(page)).startsWith("Done"); at++) await recordNextStep(page);
      assert.equal(await nextStep(page), "Done. Passed.");
      await addMeasurements(page, { "Floor thickness": [".480", "caliper"] });
      assert.match(await problems().innerText(), /floor thickness was added after the final check/);
      assert.equal(await page.locator(".stages li.reached", { hasText: "passed" }).count(), 0);
      await checkPage(page, `${size}-reopened`);
    });

    test("a cut that would reach the insert names the hole and by how much", async () => {
      await cutFace(".030");
      assert.match(await question(), /hole 1 does not hold: .*the insert stands \.010 in above the face/i);
      await checkPage(page, `${size}-cut-would-reach-the-insert`);
    });

    test("a mistyped reading is corrected without a reason", async () => {
      await go(holePath);
      await openFold(page, "Instruments, correct, strike out");
      const line = page.locator("li", { hasText: "Edge distance" }).filter({ has: page.locator("summary", { hasText: "Correct" }) }).first();
      await line.locator("summary", { hasText: "Correct" }).click();
      await line.getByLabel(/^Edge distance/).fill("1.350");
      await clickAndLoad(page, line.getByRole("button", { name: "Save correction" }));
      assert.match((await page.locator("ul.value-list li", { hasText: "Edge distance" }).allInnerTexts()).join(), /^Edge distance 1\.350\sin$/);
      assert.equal(await page.getByRole("heading", { name: "Resolve conflict" }).count(), 0);
    });

    test("the browser reports no error", () => assert.deepEqual(errors, []));
  });
}
