// What leaves the notebook: one casting as a single page, opened from disk without a network, and
// the whole notebook as files, from the Sync page.

import assert from "node:assert/strict";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { after, before, describe, test } from "node:test";
import { launch, openPage, sizes, testedSizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { carrier, run, TestNotebook } from "./harness/program.mjs";

describe("one casting as a single page", { skip: carrier === "phone" && "the page is the same" }, () => {
  let browser, folder, file;
  before(async () => {
    browser = await launch();
    folder = await mkdtemp(join(tmpdir(), "holebook-export-"));
    const notebook = join(folder, "notebook");
    await run("demo", "--no-open", "--notebook", notebook);
    const list = JSON.parse((await run("list", "--json", "--notebook", notebook)).stdout);
    file = join(folder, "casting.html");
    await run("export", "--casting", list.castings[0].id, "--out", file, "--notebook", notebook);
  });
  after(async () => {
    await browser?.close();
    await rm(folder, { recursive: true, force: true });
  });

  for (const [size, options] of Object.entries(sizes)) {
    test(`opens from disk without a network, ${size}`, async () => {
      const context = await browser.newContext({ ...options, offline: true });
      const page = await context.newPage();
      const reported = [];
      page.on("pageerror", (error) => reported.push(error.message));
      page.on("console", (message) => reported.push(message.text()));
      page.on("request", (request) => {
        if (!/^(file|data):/.test(request.url())) reported.push(request.url());
      });
      await page.goto(pathToFileURL(file).href);
      const pictures = await page.locator("img").evaluateAll((all) => all.map((image) => image.naturalWidth));
      assert.ok(pictures.length > 0 && pictures.every((width) => width > 0), "each photo is drawn");
      // The style is there, so its policy let it in.
      const thick = await page.locator(".caution").evaluate((box) => getComputedStyle(box).borderLeftStyle);
      assert.equal(thick, "solid");
      await checkPage(page, `${size}-casting-file`);
      assert.deepEqual(reported, []);
      await context.close();
    });
  }
});

for (const [size, options] of testedSizes) {
  test(`the Sync page exports the notebook as files, ${size}`, async () => {
    const browser = await launch();
    const notebook = await TestNotebook.create({ demo: true });
    try {
      const { page, errors } = await openPage(browser, notebook, options);
      await page.goto(new URL("/sync", notebook.address).href);
      await clickAndLoad(page, page.getByRole("button", { name: "Export files" }));
      const save = page.getByRole("link", { name: /^Save.* the export$/ });
      await save.waitFor();
      await checkPage(page, `${size}-sync-exported`);
      const [type, start] = await save.evaluate(async (link) => {
        const download = await fetch(link.href);
        const bytes = new Uint8Array(await download.arrayBuffer());
        return [download.headers.get("content-type"), String.fromCharCode(...bytes.subarray(0, 2))];
      });
      assert.deepEqual([type, start], ["application/zip", "PK"]);
      assert.deepEqual(errors, []);
    } finally {
      await browser.close();
      await notebook.remove();
    }
  });
}
