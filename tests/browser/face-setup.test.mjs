// What the holes of a face have in common is set once, and each hole takes it over.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openPage, testedSizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { addFace, saveSettings } from "./harness/first-steps.mjs";
import { addHole, addMeasurements, openFold, planFaceCut } from "./harness/hole-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { carrier, TestNotebook } from "./harness/program.mjs";

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

/** The phone's shell sends forms by script, so plain pages are for the shop's carrier only. */
const variants = testedSizes.map(([size, options]) => [size, options, true]);
if (carrier === "shop") variants.push(["phone-plain", { ...testedSizes[0][1], javaScriptEnabled: false }, false]);

for (const [size, options, script] of variants) {
  describe(`setup of a face, ${size}`, () => {
    let notebook, context, page, errors, facePath;
    const go = (path) => page.goto(new URL(path, notebook.address).href);
    const check = async (name) => script && (await checkPage(page, `${size}-${name}`));
    before(async () => {
      notebook = await TestNotebook.create();
      ({ context, page, errors } = await openPage(browser, notebook, options));
      await saveSettings(page, "R. Sample", { unit: "inches" });
      await addFace(page);
      facePath = new URL(page.url()).pathname;
      await planFaceCut(page, "0");
      for (let count = 0; count < 4; count += 1) {
        await go(facePath);
        await addHole(page);
      }
    });
    after(async () => {
      await context?.close();
      await notebook?.remove();
    });

    test("thread, tools and usual measurements are saved with one button", async () => {
      await go(facePath);
      await clickAndLoad(page, page.getByRole("link", { name: "Set up the face" }));
      await check("setup-new");
      await page.getByRole("radio", { name: "3/8-16 UNC" }).check();
      await page.getByLabel("Bolt grade").selectOption({ label: "SAE J429 grade 5" });
      await page.getByRole("radio", { name: "blind" }).check();
      await page.getByRole("checkbox", { name: /^6 in rule/ }).check();
      await openFold(page, "Depth and distances");
      for (const [what, value] of [["Hole depth", "1-1/4"], ["Floor thickness", "3/8"], ["Edge distance", "7/8"]]) {
        const group = page.getByRole("group", { name: what });
        await group.getByLabel(/^Usual/).fill(value);
        await group.getByLabel("Measured with").fill("6 in rule");
      }
      await clickAndLoad(page, page.getByRole("button", { name: "Save setup" }));
      const facts = page.locator("#setup");
      await facts.getByText("3/8-16 UNC, SAE J429 grade 5, blind").waitFor();
      assert.match(await facts.innerText(), /1-1\/4\s±1\/64\sin/);
      await check("setup-saved");
    });

    test("a hole shows what it takes over, and its own reading comes first", async () => {
      await clickAndLoad(page, page.getByRole("link", { name: /Hole 2/ }).first());
      assert.equal(await page.getByRole("link", { name: "from the face's setup" }).count(), 4);
      await check("setup-hole");
      await addMeasurements(page, { "Hole depth": ["1-3/8", "6 in rule"] });
      assert.equal(await page.getByRole("link", { name: "from the face's setup" }).count(), 3);
      await page.getByText("1-3/8 ±1/64 in").first().waitFor();
    });

    test("several holes get another thread at once", async () => {
      await go(`${facePath}/setup`);
      await clickAndLoad(page, page.getByRole("link", { name: "Several holes at once" }));
      await page.getByLabel("Hole numbers").fill("3-4");
      await page.getByLabel("Bolt thread").fill("7/16-14");
      await openFold(page, "Pick from the list");
      await check("alike");
      await page.getByRole("checkbox", { name: /^1, / }).check();
      await clickAndLoad(page, page.getByRole("button", { name: "Record for all of them" }));
      const about = await page.locator(".holes .about").allInnerTexts();
      const threads = about.map((line) => line.split(" · ").at(-1).trim());
      assert.deepEqual(threads, ["7/16-14 UNC", "3/8-16 UNC", "7/16-14 UNC", "7/16-14 UNC"]);
    });

    test("another face takes over the setup", async () => {
      await addFace(page, { casting: "Water jacket, other engine" });
      await clickAndLoad(page, page.getByRole("link", { name: "Set up the face" }));
      await page.getByLabel("From", { exact: true }).selectOption({ label: "Water jacket: Pump end" });
      await clickAndLoad(page, page.getByRole("button", { name: "Copy setup" }));
      await page.getByText("Setup copied.").waitFor();
      assert.ok(await page.getByRole("radio", { name: "3/8-16 UNC" }).isChecked());
      await check("setup-copied");
    });

    test("the browser reported nothing", () => assert.deepEqual(errors, []));
  });
}
