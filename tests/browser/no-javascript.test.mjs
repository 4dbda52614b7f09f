// Without JavaScript everything works: plain links and plain forms, and a plain picture to mark on.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openPage, sizes } from "./harness/browser.mjs";
import { screenshot } from "./harness/check-page.mjs";
import { addFace, addPhoto, saveSettings } from "./harness/first-steps.mjs";
import { addHole, addMeasurements, chooseRemedy, describeDamage, nextStep, planFaceCut, recordFaceCut, recordNextStep, setThread } from "./harness/hole-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { carrier, TestNotebook } from "./harness/program.mjs";

// The WebView of the phone always has JavaScript, and the shell needs it to send forms.
const skip = carrier === "phone" && "on the phone the shell's script sends every form";

describe("without JavaScript", { skip }, () => {
  let browser, notebook, demo, page, facePath, photoPath, holePath;
  const go = (path) => page.goto(new URL(path, notebook.address).href);
  before(async () => {
    browser = await launch();
    notebook = await TestNotebook.create();
    ({ page } = await openPage(browser, notebook, { ...sizes.phone, javaScriptEnabled: false }));
  });
  after(async () => {
    await browser?.close();
    await notebook?.remove();
    await demo?.remove();
  });

  test("a casting, its face, its photo and a hole are added by forms", async () => {
    await saveSettings(page, "R. Sample");
    await addFace(page);
    facePath = new URL(page.url()).pathname;
    await planFaceCut(page, "0.5");
    await addPhoto(page, undefined, { script: false });
    await page.locator("noscript p", { hasText: "JavaScript is off: press a hole" }).waitFor();
    assert.ok(await page.getByRole("img", { name: /Pump end/ }).isVisible());
    assert.equal(await page.getByRole("button", { name: "Zoom in" }).count(), 0, "no control that does nothing");
    photoPath = new URL(page.url()).pathname;
    await screenshot(page, "phone-plain-photo");
    await go(facePath);
    holePath = await addHole(page);
  });

  test("a hole is marked, graded, and both are undone by plain forms", async () => {
    await go(photoPath);
    const picture = page.locator(".plain-picture input");
    const mark = page.locator('.marks .mark[aria-label^="Hole 1,"]');
    const press = () => clickAndLoad(page, picture, { position: { x: 300, y: 200 } });
    await press();
    const [width] = await page.locator(".marked img").evaluate((image) => [Number(image.getAttribute("width"))]);
    const expected = (300 * width) / 1200;
    assert.ok(Math.abs(Number(await mark.getAttribute("data-x")) - expected) <= width / 1200);
    await page.getByText("Hole 1 marked.").waitFor();
    await clickAndLoad(page, page.getByRole("button", { name: "Broken bolt" }));
    await page.getByText("Hole 1: broken bolt.").waitFor();
    assert.equal(await mark.getAttribute("data-condition"), "broken-bolt");
    await screenshot(page, "phone-plain-graded");
    await clickAndLoad(page, page.locator("#grade").getByRole("button", { name: "Undo" }));
    assert.equal(await mark.getAttribute("data-condition"), "none");
    await clickAndLoad(page, page.getByRole("button", { name: "All the rest are sound (1)" }));
    assert.equal(await mark.getAttribute("data-condition"), "sound");
    await page.getByText("Show or hide marks").click();
    await page.getByRole("radio", { name: "Crater" }).check();
    assert.equal(await page.locator(".marks .mark:visible").count(), 0);
    await page.getByRole("radio", { name: "Sound" }).check();
    assert.equal(await page.locator(".marks .mark:visible").count(), 1);
    await clickAndLoad(page, page.getByRole("button", { name: "Remove mark of hole 1" }));
    assert.equal(await page.locator(".marks .mark").count(), 0);
    await go(holePath);
  });

  test("the hole goes from measurements to final check", async () => {
    await addMeasurements(page, { "Hole depth": ["32", "depth gauge"], "Floor thickness": ["9", "caliper"] });
    await addMeasurements(page, { "Edge distance": ["22", "steel rule"], "Nearest hole": ["60", "caliper"] });
    await describeDamage(page, { from: "0", to: "9", diameter: "12.5", offset: "0.8" });
    await setThread(page, { thread: "3/8-16", bolt: "SAE J429 grade 5", through: "blind" });
    await chooseRemedy(page, "Key-locking insert, heavy duty", "it holds more");
    for (let count = 0; count < 20; count += 1) {
      const step = await nextStep(page);
      if (step.startsWith("Done")) break;
      if (step === "Cut the face") await recordFaceCut(page, "0.5 mm");
      else assert.equal(await recordNextStep(page), step);
    }
    assert.equal(await nextStep(page), "Done. Passed.");
    await screenshot(page, "phone-plain-hole");
  });

  test("an entry is struck out", async () => {
    const line = page.locator(".journal > li", { hasText: "Final check" }).first();
    await line.locator("summary", { hasText: "Strike out" }).click();
    await line.getByLabel("Reason").fill("the gauge was the wrong one");
    await clickAndLoad(page, line.getByRole("button", { name: "Strike out" }));
    await page.locator(".journal .struck-out", { hasText: "Final check" }).waitFor();
    assert.equal(await nextStep(page), "Final check");
  });

  test("the demo's photo shows every badge on its mark, and each links to its hole", async () => {
    demo = await TestNotebook.create({ demo: true });
    const opened = await openPage(browser, demo, { ...sizes.phone, javaScriptEnabled: false });
    const { page } = opened;
    for (const kind of ["casting", "face", "photo"]) await clickAndLoad(page, page.locator(`main a[href^='/${kind}/']`).first());
    const marks = await page.locator(".marks .mark").count();
    assert.ok(marks >= 14);
    await screenshot(page, "phone-plain-demo-photo");
    const image = await page.locator(".marked img").boundingBox();
    for (const badge of await page.locator(".marks .mark").all()) {
      const [x, y] = [await badge.getAttribute("data-x"), await badge.getAttribute("data-y")];
      const [width, height] = [await page.locator(".marked img").getAttribute("width"), await page.locator(".marked img").getAttribute("height")];
      const box = await badge.locator(".ring").first().boundingBox();
      const offset = Math.hypot(
        box.x + box.width / 2 - image.x - (x / width) * image.width,
        box.y + box.height / 2 - image.y - (y / height) * image.height,
      );
      assert.ok(offset < 1, `a ring is ${offset} px off its mark`);
    }
    await clickAndLoad(page, page.locator(".marks .mark").first());
    await page.getByRole("heading", { level: 1, name: /^Hole/ }).waitFor();
    await opened.context.close();
  });
});
