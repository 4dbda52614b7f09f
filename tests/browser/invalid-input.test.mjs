// Invalid input gets one sentence that says what is wrong, where, and what to do; nothing changes.

import assert from "node:assert/strict";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { launch, openPage, sizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { addFace, saveSettings } from "./harness/first-steps.mjs";
import { addHole, openFold, planFaceCut } from "./harness/hole-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { TestNotebook } from "./harness/program.mjs";

describe("invalid input", () => {
  let browser, notebook, page, errors, folder, facePath, holePath;
  const go = (path) => page.goto(new URL(path, notebook.address).href);
  const rejects = async (sentence) => {
    const alert = page.getByRole("alert");
    await alert.waitFor();
    assert.match(await alert.textContent(), sentence);
  };
  before(async () => {
    browser = await launch();
    folder = await mkdtemp(join(tmpdir(), "holebook-invalid-"));
    notebook = await TestNotebook.create();
    ({ page, errors } = await openPage(browser, notebook, sizes.phone));
    await saveSettings(page, "R. Sample");
    await addFace(page);
    facePath = new URL(page.url()).pathname;
    holePath = await addHole(page);
  });
  after(async () => {
    await browser?.close();
    await notebook?.remove();
    if (folder) await rm(folder, { recursive: true, force: true });
  });

  test("a casting without a name", async () => {
    await go("/");
    await clickAndLoad(page, page.getByRole("button", { name: "Add casting" }));
    await rejects(/Name/);
  });

  test("a text file named like a photo", async () => {
    const text = join(folder, "joint-face.jpg");
    await writeFile(text, "This is not a picture.\n");
    await go(facePath);
    await page.getByLabel(/^Photo \(JPEG or PNG\)/).setInputFiles(text);
    await clickAndLoad(page, page.getByRole("button", { name: "Add photo" }));
    await rejects(/JPEG|picture|photo/);
    await checkPage(page, "phone-rejected-photo");
    await go(facePath);
    assert.equal(await page.locator("a[href^='/photo/']").count(), 0);
  });

  for (const depth of ["abc", "0", "-3", "NaN", "inf", "1e12", "9..9"]) {
    test(`a depth of '${depth}'`, async () => {
      await go(holePath);
      await openFold(page, "Add measurements");
      const field = page.getByLabel(/^Reading/).first();
      await field.fill(depth);
      await clickAndLoad(page, page.getByRole("button", { name: "Record measurements" }));
      await rejects(/depth/i);
      assert.equal(await page.getByLabel(/^Reading/).first().inputValue(), depth, "what was typed is still there");
      await go(holePath);
      assert.equal(await page.getByText("None yet.").count(), 1, "no reading was recorded");
    });
  }

  test("a thread that does not exist gets the nearest that do", async () => {
    await go(holePath);
    await openFold(page, /Set thread/);
    await page.locator("#set-thread").getByLabel("Bolt thread").fill("3/8-17");
    await clickAndLoad(page, page.locator("#set-thread").getByRole("button", { name: "Save" }));
    await rejects(/3\/8-16/);
    await checkPage(page, "phone-rejected-thread");
  });

  test("damage outside the hole, or upside down", async () => {
    await go(holePath);
    await openFold(page, /Describe damage/);
    await page.getByLabel("From depth").first().fill("9");
    await page.getByLabel("To depth").first().fill("3");
    await page.getByLabel("Diameter").first().fill("12");
    await clickAndLoad(page, page.getByRole("button", { name: "Record damage" }));
    await rejects(/deeper/);
  });

  test("a number without a unit is in the reader's unit, one with a unit in that", async () => {
    await go(facePath);
    await planFaceCut(page, "0.5");
    await shows("0.5 mm");
    await planFaceCut(page, "1/32 in");
    await shows("0.79 mm");
    await saveSettings(page, "R. Sample", { unit: "inches" });
    await go(facePath);
    await shows("1/32 in");
    await planFaceCut(page, ".020");
    await shows(".020 in");
    await planFaceCut(page, "0.5 mm");
    await shows(".020 in");
    await saveSettings(page, "R. Sample", { unit: "millimeters" });
    await go(facePath);
    await shows("0.5 mm");
  });

  const shows = async (text) => {
    const facts = page.locator("dl.facts", { hasText: "Stock to remove" });
    await facts.getByText(text).first().waitFor();
  };

  test("addresses of no page", async () => {
    for (const path of ["/hole/nothing", "/photo/0", "/face/00000000-0000-7000-8000-000000000000", "/no/such"]) {
      const response = await go(path);
      assert.equal(response.status(), 404, path);
      await page.getByRole("alert").waitFor();
    }
    await checkPage(page, "phone-page-not-found");
  });

  test("the browser reports no other error", () => {
    assert.deepEqual(errors.filter((error) => !/status of 404/.test(error)), []);
  });
});
