// From two marked holes to the whole face: the others are found in the photo. The photo is invented.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { launch, openPage, testedSizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { addFace, addPhoto } from "./harness/first-steps.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { bringIntoView, pointer } from "./harness/photo.mjs";
import { sample, TestNotebook } from "./harness/program.mjs";

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

for (const [size, options] of testedSizes) {
  describe(`finding holes, ${size}`, () => {
    let notebook, context, page;
    before(async () => {
      notebook = await TestNotebook.create();
      ({ context, page } = await openPage(browser, notebook, options));
    });
    after(async () => {
      await context?.close();
      await notebook?.remove();
    });

    test("three marks, one look, and one button mark the face", async () => {
      await addFace(page);
      await addPhoto(page);
      const pointing = pointer(page, context, options);
      const { marks } = JSON.parse(await readFile(join(sample, "marks.json"), "utf8"));
      for (const [index, at] of [0, 4, 9].entries()) {
        await pointing.hold([await bringIntoView(page, [marks[at].px, marks[at].py])]);
        await page.locator(`.mark[aria-label^="Hole ${index + 1},"]`).waitFor();
      }
      await clickAndLoad(page, page.getByRole("link", { name: "Find the other holes" }));
      const boxes = page.locator(".found input");
      const count = await boxes.count();
      assert.ok(count >= 10 && count <= 11, `${count} proposed`);
      await checkPage(page, `${size}-find-holes`);
      await boxes.first().uncheck();
      await clickAndLoad(page, page.getByRole("button", { name: "Add the ticked holes" }));
      await page.getByText(`${count - 1} holes added and marked.`).waitFor();
      assert.equal(await page.locator(".mark").count(), 3 + count - 1);
    });
  });
}
