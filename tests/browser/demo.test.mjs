// Every page of the sample, at both sizes.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openPage, testedVariants } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { TestNotebook } from "./harness/program.mjs";

let browser, notebook;
before(async () => {
  browser = await launch();
  notebook = await TestNotebook.create({ demo: true });
});
after(async () => {
  await browser?.close();
  await notebook?.remove();
});

for (const { size, colorScheme, options } of testedVariants) {
  describe(`the sample, ${size}, ${colorScheme}`, () => {
    let context, page, errors;
    const name = (what) => `${size}-${colorScheme}-demo-${what}`;
    before(async () => ({ context, page, errors } = await openPage(browser, notebook, options)));
    after(() => context?.close());

    test("castings, casting, face, job sheet and photo", async () => {
      await checkPage(page, name("castings"));
      await clickAndLoad(page, page.locator("main a[href^='/casting/']").first());
      await checkPage(page, name("casting"));
      await clickAndLoad(page, page.locator("main a[href^='/face/']").first());
      await checkPage(page, name("face"));
      const face = page.url();
      await page.goto(`${face}/sheet`);
      await checkPage(page, name("sheet"));
      await page.goto(face);
      await clickAndLoad(page, page.locator("main a[href^='/photo/']").first());
      await checkPage(page, name("photo"));
    });

    test("every hole", async () => {
      const holes = await page.locator(".mark-list a.grow").evaluateAll((links) => links.map((link) => link.href));
      assert.ok(holes.length >= 14);
      // One is checked with its folds open, the others as they open.
      for (const [index, hole] of holes.entries()) {
        await page.goto(hole);
        await checkPage(page, name(`hole-${String(index + 1).padStart(2, "0")}`), { folds: index === 3 });
      }
    });

    test("the browser reports no error", () => assert.deepEqual(errors, []));
  });
}
