// Exchange from the page: over a folder, with what is not home yet in the head, two answers that came of it, and one settled.

import assert from "node:assert/strict";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { enter, launch, sizes } from "./harness/browser.mjs";
import { look } from "./harness/look.mjs";
import { OpenNotebook, run } from "./harness/program.mjs";
import { newFace, writeAs } from "./harness/start.mjs";
import { addHole, want } from "./harness/work.mjs";

describe("exchange from the page", () => {
  let browser, bench, barn, shelf, atBench;
  before(async () => {
    browser = await launch();
    shelf = await mkdtemp(join(tmpdir(), "holebook-shelf-"));
    bench = await OpenNotebook.fresh({ on: "shop" });
    barn = await OpenNotebook.fresh({ on: "shop" });
    atBench = await enter(browser, bench, sizes.desk);
    await writeAs(atBench.page, "K. Bench");
  });
  after(async () => {
    await browser?.close();
    for (const notebook of [bench, barn]) await notebook?.remove();
    if (shelf) await rm(shelf, { recursive: true, force: true });
  });

  const open = (page, path, notebook = bench) => page.goto(new URL(path, notebook.address).href);
  let hole;

  test("the page says what lies on this computer alone, and looks right at both sizes", async () => {
    const { page } = atBench;
    await newFace(page);
    await addHole(page);
    hole = new URL(page.url()).pathname;
    await page.locator(".exchange-link").click();
    await page.getByRole("heading", { level: 1, name: "Exchange" }).waitFor();
    await page.getByText("on no stick, folder or bucket yet").or(page.getByText("on this device alone")).first().waitFor();
    await look(page, "desk-exchange-new");
    const small = await enter(browser, bench, { ...sizes.phone, storageState: await atBench.context.storageState() });
    await open(small.page, "/exchange");
    await look(small.page, "phone-exchange-new");
    await small.context.close();
  });

  test("a folder that is not there gets one sentence, and what was typed stays", async () => {
    const { page } = atBench;
    await page.getByLabel("The folder's path on this computer").fill(join(shelf, "none", "there"));
    await page.getByRole("button", { name: "Exchange with this folder" }).click();
    await page.getByRole("alert").getByText("is not there; plug the stick in").waitFor();
    await look(page, "desk-exchange-failed");
  });

  test("a folder takes what was written, and is on the list from then on", async () => {
    const { page } = atBench;
    await page.getByLabel("The folder's path on this computer").fill(shelf);
    await page.getByRole("button", { name: "Exchange with this folder" }).click();
    await page.getByRole("heading", { name: /^Done/ }).waitFor();
    await page.getByText(/^Took nothing; left \d+ entries/).first().waitFor();
    await page.getByRole("heading", { name: "All is home" }).waitFor();
    await page.getByRole("button", { name: "Exchange now" }).waitFor();
    await look(page, "desk-exchange-done");
  });

  test("what another wrote meanwhile is in question, and is settled a step from the exchange", async () => {
    const { page } = atBench;
    await run("exchange", "--folder", shelf, "--notebook", barn.folder);
    const other = await enter(browser, barn, sizes.desk);
    await writeAs(other.page, "R. Barn");
    await open(other.page, hole, barn);
    await want(other.page, { thread: "3/8-16" });
    await other.context.close();
    await run("exchange", "--notebook", barn.folder);
    await open(page, hole);
    await want(page, { thread: "7/16-14" });
    await open(page, "/exchange");
    await page.getByRole("button", { name: "Exchange now" }).click();
    const asked = page.getByRole("link", { name: /^Hole 1, / });
    await asked.waitFor();
    await look(page, "desk-exchange-in-question");
    await asked.click();
    await page.getByText("R. Barn, on ").waitFor();
    await look(page, "desk-hole-in-question");
    await page.getByRole("button", { name: /This one stands.*R\. Barn/ }).click();
    assert.equal(await page.locator(".leaf.question").count(), 0);
    await open(page, "/exchange");
    await page.getByText("What came in question by it is settled.").waitFor();
    assert.deepEqual(atBench.faults, []);
  });

  test("all of it works without JavaScript", async () => {
    const storageState = await atBench.context.storageState();
    const bare = await enter(browser, bench, { ...sizes.desk, storageState, javaScriptEnabled: false });
    await open(bare.page, "/exchange");
    await bare.page.getByRole("button", { name: "Exchange now" }).click();
    await bare.page.getByRole("heading", { name: /^Done/ }).waitFor();
    await bare.context.close();
  });
});
