// Two people, two devices, one shelf: what they said differently stands side by side until somebody settles it.

import assert from "node:assert/strict";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { enter, launch, sizes } from "./harness/browser.mjs";
import { look } from "./harness/look.mjs";
import { hand, onScreen } from "./harness/photo.mjs";
import { press } from "./harness/press.mjs";
import { OpenNotebook, run } from "./harness/program.mjs";
import { bringIn, newFace, writeAs } from "./harness/start.mjs";
import { addHole, want } from "./harness/work.mjs";

describe("two answers", () => {
  let browser, barn, bench, shelf, inBarn, atBench;
  const exchange = async (...notebooks) => {
    for (const { folder } of notebooks) await run("exchange", "--folder", shelf, "--notebook", folder);
  };
  before(async () => {
    browser = await launch();
    shelf = await mkdtemp(join(tmpdir(), "holebook-shelf-"));
    barn = await OpenNotebook.fresh();
    bench = await OpenNotebook.fresh({ on: "shop" });
    inBarn = await enter(browser, barn, sizes.phone);
    atBench = await enter(browser, bench, sizes.desk);
    await writeAs(inBarn.page, "R. Barn");
    await writeAs(atBench.page, "K. Bench");
  });
  after(async () => {
    await browser?.close();
    for (const notebook of [barn, bench]) await notebook?.remove();
    if (shelf) await rm(shelf, { recursive: true, force: true });
  });

  const same = ({ page }, notebook) => page.goto(new URL(path, notebook.address).href);
  let path, holePath;

  test("what the barn wrote comes to the bench over the shelf", async () => {
    const { page } = inBarn;
    await newFace(page);
    await addHole(page);
    await page.goBack();
    await bringIn(page);
    path = new URL(page.url()).pathname;
    await exchange(barn, bench);
    await same(atBench, bench);
    await atBench.page.getByRole("heading", { level: 1, name: "Photo of Pump end" }).waitFor();
  });

  test("each marks the same hole at another place and says another thread", async () => {
    for (const [who, notebook, at, thread] of [
      [inBarn, barn, [400, 500], "3/8-16"],
      [atBench, bench, [600, 520], "7/16-14"],
    ]) {
      const { page, context } = who;
      await same(who, notebook);
      const touch = who === inBarn ? sizes.phone : sizes.desk;
      await page.getByRole("button", { name: "Mark", exact: true }).click();
      await page.getByLabel("Next mark").selectOption({ label: "hole 1" });
      await hand(page, context, touch).slide([await onScreen(page, at)]);
      await page.locator(".mark").waitFor();
      holePath = await page.locator(".mark").getAttribute("href");
      await page.goto(new URL(holePath, notebook.address).href);
      await want(page, { thread });
    }
    await exchange(bench, barn, bench);
  });

  test("the photo shows both marks with a broken edge, and lets one stand", async () => {
    await same(inBarn, barn);
    const { page } = inBarn;
    assert.equal(await page.locator(".mark.questioned").count(), 2);
    await page.getByText("It is marked at different places.").waitFor();
    await look(page, "phone-photo-two-marks");
    await page.getByRole("button", { name: /This one stands\s+for hole 1, at 40\d, 50\d/ }).click();
    await page.locator(".said", { hasText: "Hole 1 moved to 40" }).waitFor();
    assert.equal(await page.locator(".mark").count(), 1);
  });

  test("the hole's page shows both threads with who said them, and lets one stand", async () => {
    const { page } = inBarn;
    await page.goto(new URL(holePath, barn.address).href);
    await page.getByRole("heading", { name: "In question" }).waitFor();
    await look(page, "phone-hole-two-answers");
    await press(page, page.getByRole("button", { name: /This one stands\s+for the wanted thread, as K\. Bench says/ }));
    assert.equal(await page.getByRole("heading", { name: "In question" }).count(), 0);
    assert.match(await page.locator("main").textContent(), /7\/16-14/);
  });

  test("settled in the barn, it is settled at the bench", async () => {
    await exchange(barn, bench);
    await same(atBench, bench);
    const { page } = atBench;
    assert.equal(await page.locator(".mark").count(), 1);
    assert.equal(await page.locator(".mark.questioned").count(), 0);
    await page.goto(new URL(holePath, bench.address).href);
    assert.equal(await page.getByRole("heading", { name: "In question" }).count(), 0);
    assert.deepEqual([...inBarn.faults, ...atBench.faults], []);
  });
});
