// Finding things again: the search, what was opened last, and what was typed before a reload.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openPage, testedSizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { carrier, TestNotebook } from "./harness/program.mjs";

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

const noteField = (page) => page.locator("form[action$='/note'] [name=text]");

for (const [size, options] of testedSizes) {
  describe(`finding things again, ${size}`, () => {
    let notebook, context, page, errors, hole;
    const go = (path) => page.goto(new URL(path, notebook.address).href);
    before(async () => {
      notebook = await TestNotebook.create({ demo: true });
      ({ context, page, errors } = await openPage(browser, notebook, options));
    });
    after(async () => {
      await context?.close();
      await notebook?.remove();
    });

    test("a note is found by its words, in any case", async () => {
      await clickAndLoad(page, page.locator("main a[href^='/casting/']").first());
      await clickAndLoad(page, page.locator("main a[href^='/face/']").first());
      await clickAndLoad(page, page.locator(".holes a", { hasText: "Hole 5 " }));
      hole = new URL(page.url()).pathname;
      await noteField(page).fill("Plate from Müllheim, serial 4711-B");
      await clickAndLoad(page, page.getByRole("button", { name: "Add note" }));
      await go("/");
      await page.getByRole("searchbox").fill("MULLHEIM 4711");
      await clickAndLoad(page, page.getByRole("button", { name: "Search" }));
      assert.equal(await page.locator(".results > li").count(), 1);
      await checkPage(page, `${size}-search`);
      await clickAndLoad(page, page.locator(".results a").first());
      assert.equal(new URL(page.url()).pathname, hole);
    });

    test("the first page leads back to what was opened last, and says what is next there", async () => {
      await go("/");
      const first = page.locator(".recent a").first();
      assert.match(await first.innerText(), /^Hole 5[^]*next: /);
      await checkPage(page, `${size}-recent`);
      await clickAndLoad(page, first);
      assert.equal(new URL(page.url()).pathname, hole);
    });

    test("what was typed survives a reload, and is gone once it is recorded", async () => {
      await noteField(page).fill("half a sentence");
      // The phone's app keeps a draft a moment after the last key.
      await notebook.phone?.waitForDraft("half a sentence");
      await page.reload();
      await page.getByText(/What you typed is still here/).waitFor();
      assert.equal(await noteField(page).inputValue(), "half a sentence");
      await checkPage(page, `${size}-draft`, { folds: false });
      await clickAndLoad(page, page.getByRole("button", { name: "Add note" }));
      await page.locator(".journal > li", { hasText: "half a sentence" }).first().waitFor();
      await go(hole);
      assert.equal(await page.getByText(/What you typed is still here/).count(), 0);
      assert.equal(await noteField(page).inputValue(), "");
    });

    test("a draft can be discarded", { skip: carrier === "phone" && "the shell keeps its own drafts" }, async () => {
      await noteField(page).fill("not this one");
      await page.reload();
      await clickAndLoad(page, page.getByRole("button", { name: "Discard" }));
      assert.equal(await noteField(page).inputValue(), "");
    });

    test("the browser reports no error", () => assert.deepEqual(errors, []));
  });
}
