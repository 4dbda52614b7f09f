// The sample casting, every page of it, at both sizes, in bright light and in the dark.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { carried, enter, launch } from "./harness/browser.mjs";
import { look } from "./harness/look.mjs";
import { press } from "./harness/press.mjs";
import { OpenNotebook } from "./harness/program.mjs";

let browser, notebook;
before(async () => {
  browser = await launch();
  notebook = await OpenNotebook.fresh({ demo: true });
});
after(async () => {
  await browser?.close();
  await notebook?.remove();
});

for (const [size, options] of carried) {
  for (const colorScheme of ["light", "dark"]) {
    describe(`the sample, ${size}, ${colorScheme}`, () => {
      let context, page, faults;
      const name = (what) => `${size}-${colorScheme}-demo-${what}`;
      before(async () => ({ context, page, faults } = await enter(browser, notebook, { ...options, colorScheme })));
      after(() => context?.close());

      test("castings, casting, face, sheet and photo", async () => {
        await look(page, name("castings"));
        await press(page, page.locator("main a[href^='/casting/']").first());
        await look(page, name("casting"));
        await press(page, page.locator("main a[href^='/face/']").first());
        await look(page, name("face"));
        const face = page.url();
        await page.goto(`${face}/sheet`);
        await look(page, name("sheet"));
        await page.goto(face);
        await press(page, page.locator("main a[href^='/photo/']").first());
        await look(page, name("photo"));
      });

      test("every hole", async () => {
        const holes = await page.locator(".mark-list a").evaluateAll((links) => links.map((link) => link.href));
        assert.ok(holes.length >= 14);
        // One of each size and light is looked at whole; the rest as they are opened.
        for (const [index, hole] of holes.entries()) {
          await page.goto(hole);
          await look(page, name(`hole-${String(index + 1).padStart(2, "0")}`), { folds: index === 3 });
        }
      });

      test("the browser complained of nothing", () => assert.deepEqual(faults, []));
    });
  }
}
