// Two people record different things on two devices: a conflict, until one of them resolves it.

import assert from "node:assert/strict";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { launch, openPage, sizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { addFace, addPhoto, saveSettings } from "./harness/first-steps.mjs";
import { addHole, setThread } from "./harness/hole-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { bringIntoView, pointer } from "./harness/photo.mjs";
import { run, TestNotebook } from "./harness/program.mjs";

describe("conflicts", () => {
  let browser, barn, bench, folder, inBarn, atBench;
  const sync = async (...notebooks) => {
    for (const notebook of notebooks) await run("sync", "--folder", folder, "--notebook", notebook.folder);
  };
  before(async () => {
    browser = await launch();
    folder = await mkdtemp(join(tmpdir(), "holebook-remote-"));
    barn = await TestNotebook.create();
    bench = await TestNotebook.create({ on: "shop" });
    inBarn = await openPage(browser, barn, sizes.phone);
    atBench = await openPage(browser, bench, sizes.desktop);
    await saveSettings(inBarn.page, "R. Barn");
    await saveSettings(atBench.page, "K. Bench");
  });
  after(async () => {
    await browser?.close();
    for (const notebook of [barn, bench]) await notebook?.remove();
    if (folder) await rm(folder, { recursive: true, force: true });
  });

  const openSame = ({ page }, notebook) => page.goto(new URL(path, notebook.address).href);
  let path, holePath;

  test("the bench receives what the barn recorded", async () => {
    const { page } = inBarn;
    await addFace(page);
    await addHole(page);
    await page.goBack();
    await addPhoto(page);
    path = new URL(page.url()).pathname;
    await sync(barn, bench);
    await openSame(atBench, bench);
    await atBench.page.getByRole("heading", { level: 1, name: "Photo of Pump end" }).waitFor();
  });

  test("each marks the same hole elsewhere and sets another thread", async () => {
    for (const [who, notebook, position, thread] of [
      [inBarn, barn, [400, 500], "3/8-16"],
      [atBench, bench, [600, 520], "7/16-14"],
    ]) {
      const { page, context } = who;
      await openSame(who, notebook);
      const size = who === inBarn ? sizes.phone : sizes.desktop;
      await page.getByLabel("Next mark").selectOption({ label: "Hole 1" });
      await pointer(page, context, size).hold([await bringIntoView(page, position)]);
      await page.locator(".mark").waitFor();
      holePath = await page.locator(".mark").getAttribute("href");
      await page.goto(new URL(holePath, notebook.address).href);
      await setThread(page, { thread });
    }
    await sync(bench, barn, bench);
  });

  test("the photo shows both marks with a dashed edge, and one can be picked", async () => {
    await openSame(inBarn, barn);
    const { page } = inBarn;
    assert.equal(await page.locator(".mark.conflict").count(), 2);
    await page.getByText("This hole has different marks. Which one is right?").waitFor();
    await checkPage(page, "phone-photo-two-marks");
    await page.getByRole("button", { name: /Use this one\s+for hole 1, at 40\d, 50\d/ }).click();
    await page.locator(".status", { hasText: "Hole 1 moved to 40" }).waitFor();
    assert.equal(await page.locator(".mark").count(), 1);
  });

  test("the hole's page shows both threads with their authors, and one can be picked", async () => {
    const { page } = inBarn;
    await page.goto(new URL(holePath, barn.address).href);
    await page.getByRole("heading", { name: "Resolve conflict" }).waitFor();
    await checkPage(page, "phone-hole-conflict");
    await clickAndLoad(page, page.getByRole("button", { name: /Use this one\s*: Wanted thread by K\. Bench/ }));
    assert.equal(await page.getByRole("heading", { name: "Resolve conflict" }).count(), 0);
    assert.match(await page.locator("main").textContent(), /7\/16-14/);
  });

  test("a conflict resolved in the barn is resolved at the bench", async () => {
    await sync(barn, bench);
    await openSame(atBench, bench);
    const { page } = atBench;
    assert.equal(await page.locator(".mark").count(), 1);
    assert.equal(await page.locator(".mark.conflict").count(), 0);
    await page.goto(new URL(holePath, bench.address).href);
    assert.equal(await page.getByRole("heading", { name: "Resolve conflict" }).count(), 0);
    assert.deepEqual([...inBarn.errors, ...atBench.errors], []);
  });
});
