// A joint is bolted up: what was tried, a broken tap, a reminder, and one tap for each bolt in each
// pass.

import assert from "node:assert/strict";
import { test } from "node:test";
import { launch, openPage, testedSizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { addFace, saveSettings } from "./harness/first-steps.mjs";
import { addHole, addMeasurements, chooseRemedy, nextStep, openFold, planFaceCut, setThread } from "./harness/hole-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { carrier, TestNotebook } from "./harness/program.mjs";

/** Takes a sound hole from nothing to its final check. */
async function passSoundHole(page, hole) {
  await page.goto(new URL(hole, page.url()).href);
  await setThread(page, { thread: "3/8-16", bolt: "SAE J429 grade 5", through: "blind" });
  await openFold(page, /Describe damage|Redo/);
  await clickAndLoad(page, page.getByRole("button", { name: "Hole and thread are good" }).first());
  await addMeasurements(page, { "Hole depth": ["38", "depth rod"], Grip: ["12", "caliper"] });
  await chooseRemedy(page, "Leave as is");
  while ((await nextStep(page)) !== "Done. Passed.") {
    const skip = page.getByRole("button", { name: "Skip for now" });
    if (await skip.count()) await clickAndLoad(page, skip);
    else await clickAndLoad(page, page.locator(".panel.next").getByRole("button", { name: "Passed" }));
  }
}

/** Number of holes of the joint. */
const HOLES = 3;

for (const [size, options] of testedSizes) {
  test(`a joint is bolted up, ${size}`, async () => {
    const browser = await launch();
    const notebook = await TestNotebook.create();
    try {
      const { page, errors } = await openPage(browser, notebook, options);
      const go = (path) => page.goto(new URL(path, notebook.address).href);
      const press = (name) => clickAndLoad(page, page.getByRole("button", { name }).first());
      await saveSettings(page, "R. Sample");
      await addFace(page);
      const face = new URL(page.url()).pathname;
      await planFaceCut(page, "0");
      const holes = [];
      for (let at = 0; at < HOLES; at++) {
        await go(face);
        holes.push(await addHole(page));
      }

      // A hole where a nut was welded on is not passed before it was looked at again.
      await go(holes[0]);
      await openFold(page, "Tries and troubles");
      await press("Nut welded on");
      await page.getByText("Recorded what was tried.").waitFor();
      await openFold(page, "Tries and troubles (1)");
      await page.getByText("may have left hard iron here").waitFor();
      await page.locator("#tries").getByLabel("Tool", { exact: true }).fill("3/8-16 plug tap");
      await press("Dull");
      await page.getByText("Tool trouble recorded.").waitFor();
      await checkPage(page, `${size}-tries`);

      await go(`${face}/bolt-up`);
      await page.getByText("Not ready to bolt up").waitFor();
      await openFold(page, "Add a reminder");
      await page.getByLabel("Remind of").fill("sealer has cured");
      await press("Add reminder");
      await page.getByText("Reminder added.").waitFor();
      await checkPage(page, `${size}-bolt-up-open`);
      await go("/");
      await page.getByRole("heading", { name: "Reminders" }).waitFor();
      await checkPage(page, `${size}-reminders`);
      await press(/^Done/);
      assert.equal(await page.getByRole("heading", { name: "Reminders" }).count(), 0);

      for (const hole of holes) {
        await passSoundHole(page, hole);
      }
      await go(`${face}/bolt-up`);
      await checkPage(page, `${size}-bolt-up`);
      await clickAndLoad(page, page.getByRole("link", { name: "Sheet with boxes to tick" }));
      await clickAndLoad(page, page.getByRole("link", { name: "plain steel, dry" }));
      await page.getByText("plain steel, dry. The torque is for that alone.").waitFor();
      await checkPage(page, `${size}-bolt-up-sheet`);
      const pdf = page.getByRole("link", { name: /PDF, A4$/ });
      assert.match(await pdf.getAttribute("href"), /bolt-up\.pdf\?paper=a4&bolts=dry$/);
      if (carrier === "phone") {
        await clickAndLoad(page, pdf);
        assert.match(await notebook.phone.call("actions"), /^file bolt-up\.pdf application\/pdf \d+$/);
      }
      await go(`${face}/bolt-up`);
      const passes = 5;
      for (let tap = 0; tap < passes * HOLES; tap++) {
        await clickAndLoad(page, page.locator(".one-tap button").first());
      }
      await page.getByText("Bolted up, and checked after the first warm-up.").waitFor();
      await checkPage(page, `${size}-bolted-up`);
      // Undo takes the last tap back.
      await press("Undo");
      await page.getByText("Bolted up. Check it after the first warm-up.").waitFor();
      assert.deepEqual(errors, []);
    } finally {
      await browser.close();
      await notebook.remove();
    }
  });
}
