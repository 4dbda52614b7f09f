// What is unusual is asked about once: what was typed stays, and one press saves it.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openPage, testedSizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { addFace, saveSettings } from "./harness/first-steps.mjs";
import { addHole, addMeasurements, answerQuestions, openFold } from "./harness/hole-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { TestNotebook } from "./harness/program.mjs";

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

for (const [size, options] of testedSizes) {
  describe(`questions, ${size}`, () => {
    let notebook, context, page, errors, facePath, holePath;
    const go = (path) => page.goto(new URL(path, notebook.address).href);
    const asks = async (sentence) => {
      const alert = page.getByRole("alert");
      await alert.waitFor();
      assert.match(await alert.innerText(), /^Not saved yet\./);
      assert.match(await page.locator(".question").innerText(), sentence);
    };
    const readings = () => page.locator("ul.value-list li", { hasText: "Hole depth" }).allInnerTexts();
    before(async () => {
      notebook = await TestNotebook.create();
      ({ context, page, errors } = await openPage(browser, notebook, options));
      await saveSettings(page, "R. Sample", { unit: "inches" });
      await addFace(page);
      facePath = new URL(page.url()).pathname;
      holePath = await addHole(page);
    });
    after(async () => {
      await context?.close();
      await notebook?.remove();
    });

    test("a depth of 48 in is asked about at its field, with what was typed still there", async () => {
      await addMeasurements(page, { "Hole depth": ["48", "6 in rule"], "Floor thickness": [".4", "caliper"] });
      await asks(/depth is 48.*check the number and the unit/);
      const depth = page.getByRole("group", { name: "Hole depth" });
      assert.equal(await depth.getByLabel(/^Reading/).inputValue(), "48");
      assert.equal(await depth.getByLabel("Measured with").inputValue(), "6 in rule");
      assert.equal(await depth.getByLabel(/^Reading/).getAttribute("aria-invalid"), "true");
      await checkPage(page, `${size}-question`);
    });

    test("a corrected value is saved without another question", async () => {
      const depth = page.getByRole("group", { name: "Hole depth" });
      await depth.getByLabel(/^Reading/).fill("1-1/4");
      await clickAndLoad(page, page.getByRole("button", { name: "Record measurements" }));
      assert.equal(await page.getByRole("alert").count(), 0);
      assert.match((await readings()).join(), /^Hole depth 1\.250\sin$/);
    });

    test("the Enter key asks again, and the second button saves it", async () => {
      await go(holePath);
      await addMeasurements(page, { "Grip (part": ["1 mm", "caliper"] });
      assert.equal(await page.getByRole("alert").count(), 0, "a thin grip is no question");
      await addMeasurements(page, { "Grip (part": ["15", "caliper"] });
      await asks(/grip is 15/);
      const grip = page.getByRole("group", { name: "Grip (part" });
      await Promise.all([page.waitForEvent("load"), grip.getByLabel(/^Reading/).press("Enter")]);
      await asks(/grip is 15/);
      await answerQuestions(page);
      assert.equal(await page.getByRole("alert").count(), 0);
      await page.locator("ul.value-list li", { hasText: "15.000 in" }).first().waitFor();
    });

    test("a stray letter is no depth", async () => {
      await addMeasurements(page, { "Hole depth": ["U", "caliper"] });
      assert.match(await page.getByRole("alert").innerText(), /^Nothing was recorded\..*names a drill/);
    });

    test("cutting the face names the holes that are not measured", async () => {
      await go(facePath);
      await addHole(page);
      await go(facePath);
      await openFold(page, "Record a cut");
      await page.getByLabel(/^Stock removed/).fill(".200");
      await clickAndLoad(page, page.getByRole("button", { name: "Record cut" }));
      await asks(/face cut is \.2(.|\n)*hole 2 is not measured yet/i);
      await checkPage(page, `${size}-question-face-cut`);
      await answerQuestions(page);
      await page.getByText(".200 in removed").waitFor();
    });

    test("the browser reports no error", () => assert.deepEqual(errors, []));
  });
}
