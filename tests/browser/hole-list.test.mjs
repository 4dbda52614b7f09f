// The holes of a face at a glance: everything a foreman asks on one screen, filtered by links, and
// pointed out on the photo.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openPage, testedSizes } from "./harness/browser.mjs";
import { checkPage, screenshot, visibleScreenshot } from "./harness/check-page.mjs";
import { openFold } from "./harness/hole-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { carrier, TestNotebook } from "./harness/program.mjs";

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

const rows = (page) => page.locator(".holes a");
const numbers = (page) => page.locator(".holes .badge text").allTextContents();

/** Adds holes to the face whose page is open, until it has so many. */
async function addHoles(page, total) {
  const face = page.url();
  const missing = total - (await rows(page).count());
  if (carrier === "phone") {
    // There the shell's script sends the forms.
    for (let added = 0; added < missing; added += 1) {
      await clickAndLoad(page, page.getByRole("button", { name: "Add hole" }));
      await page.goto(face);
    }
    return;
  }
  const form = page.locator("form[action$='/hole']");
  await form.evaluate(async ({ action }, missing) => {
    for (let added = 0; added < missing; added += 1) {
      const answer = await fetch(action, { method: "POST", body: new URLSearchParams({ number: "" }) });
      if (!answer.ok) throw new Error(`adding a hole: ${answer.status}`);
    }
  }, missing);
  await page.reload();
  assert.equal(await rows(page).count(), total);
}

for (const [size, options] of testedSizes) {
  describe(`the holes of a face, ${size}`, () => {
    let notebook, context, page, errors, face;
    before(async () => {
      notebook = await TestNotebook.create({ demo: true });
      ({ context, page, errors } = await openPage(browser, notebook, options));
      await clickAndLoad(page, page.locator("main a[href^='/casting/']").first());
      await clickAndLoad(page, page.locator("main a[href^='/face/']").first());
      face = page.url();
    });
    after(async () => {
      await context?.close();
      await notebook?.remove();
    });

    test("conflicts and open problems come first, and every hole says what is next", async () => {
      assert.equal(await rows(page).count(), 14);
      const calm = await rows(page).evaluateAll((all) => all.map((row) => !/conflict|open problem/.test(row.textContent)));
      assert.deepEqual(calm, [...calm].sort(), "those that need attention are not first");
      assert.ok(calm.includes(false));
      for (const task of await page.locator(".holes .task").allInnerTexts()) assert.notEqual(task.trim(), "");
      assert.match(await page.locator(".progress-line").innerText(), /^\d+ of 14 passed/);
      await checkPage(page, `${size}-hole-list-14`);
    });

    test("20 holes beside the photo fit the screen of a desk; a phone has rows for a thumb", async () => {
      await addHoles(page, 20);
      await page.evaluate(() => scrollTo(0, 0));
      await visibleScreenshot(page, `${size}-hole-list-20`);
      const { height } = page.viewportSize();
      const boxes = await rows(page).evaluateAll((all) => all.map((row) => row.getBoundingClientRect().toJSON()));
      for (const box of boxes) assert.ok(box.height >= 47.5 && box.height < 60, `a row is ${box.height} px high`);
      if (size === "phone") return;
      const lowest = Math.max(...boxes.map((box) => box.bottom));
      assert.ok(lowest <= height, `the list ends ${lowest} px down on a screen of ${height} px`);
      const photo = await page.locator(".photo img").first().boundingBox();
      assert.ok(photo.y + photo.height <= height, `the photo ends at ${photo.y + photo.height}`);
    });

    test("a row and its badge on the photo point out each other", async () => {
      const row = rows(page).filter({ hasText: "Hole 4 " });
      const badge = page.locator('.mark[aria-label^="Hole 4,"]').first();
      await row.focus();
      assert.match(await badge.getAttribute("class"), /pointed-out/);
      await badge.focus();
      assert.match(await row.getAttribute("class"), /pointed-out/);
      if (size === "desktop") {
        await row.hover();
        await visibleScreenshot(page, `${size}-hole-list-pointed-out`);
        await page.mouse.move(1, 1);
      }
      await row.blur();
      await badge.blur();
      assert.equal(await page.locator(".pointed-out").count(), 0);
    });

    test("what is left leads to its holes, a reload keeps the filter, and back shows all", async () => {
      const link = page.locator(".left a").first();
      const count = Number(await link.locator("b").innerText());
      await clickAndLoad(page, link);
      assert.equal(await rows(page).count(), count);
      await page.reload();
      assert.equal(await rows(page).count(), count);
      await checkPage(page, `${size}-hole-list-filtered`);
      await page.goBack();
      assert.equal(await rows(page).count(), 20);
    });

    test("60 holes are listed and sorted, on the screen and on paper", async () => {
      await page.goto(face);
      await addHoles(page, 60);
      await openFold(page, "Sort and filter");
      await page.getByLabel("Sort by").selectOption({ label: "Number" });
      await clickAndLoad(page, page.getByRole("button", { name: "Show", exact: true }));
      assert.deepEqual(await numbers(page), Array.from({ length: 60 }, (_, at) => String(at + 1)));
      await checkPage(page, `${size}-hole-list-60`, { folds: false });
      if (size === "phone") return; // paper is wider than a phone
      await page.emulateMedia({ media: "print" });
      await screenshot(page, `${size}-hole-list-print`);
      for (const hidden of [".hole-filter", "form[action$='/hole']"]) {
        assert.equal(await page.locator(hidden).isVisible(), false, `${hidden} is printed`);
      }
      assert.ok(await rows(page).first().isVisible());
      await page.emulateMedia({ media: "screen" });
    });

    const skip = carrier === "phone" && "the WebView of the phone always has JavaScript";
    test("without JavaScript the filter works the same", { skip }, async () => {
      const plain = await openPage(browser, notebook, { ...options, colorScheme: "dark", javaScriptEnabled: false });
      await plain.page.goto(face);
      await plain.page.locator("summary", { hasText: "Sort and filter" }).click();
      await plain.page.getByLabel("Missing").selectOption("depth");
      await plain.page.getByRole("button", { name: "Show", exact: true }).click();
      await plain.page.getByText(/^Showing \d+ of 60 holes/).waitFor();
      assert.match(plain.page.url(), /missing=depth/);
      await screenshot(plain.page, `${size}-dark-hole-list-missing`);
      await plain.context.close();
    });

    test("the browser reports no error", () => assert.deepEqual(errors, []));
  });
}
