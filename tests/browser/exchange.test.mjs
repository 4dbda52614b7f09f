// Exchange from the page: over a folder, two answers that came of it, and one settled; and by a bundle.

import assert from "node:assert/strict";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { after, before, describe, test } from "node:test";
import { enter, launch, sizes } from "./harness/browser.mjs";
import { everywhere } from "./harness/everywhere.mjs";
import { look } from "./harness/look.mjs";
import { press, pressAndFollow } from "./harness/press.mjs";
import { OpenNotebook, carrier, run } from "./harness/program.mjs";
import { newFace, writeAs } from "./harness/start.mjs";
import { addHole, want } from "./harness/work.mjs";

// A phone has no folder that a person could name; its exchange over the network is in guest.test.mjs.
const skip = carrier === "phone" && "folders by their path are for the shop computer";

describe("exchange from the page", { skip }, () => {
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
    await press(page, page.locator(".exchange-link"));
    await page.getByRole("heading", { level: 1, name: "Exchange" }).waitFor();
    await page.getByText("on no stick, folder or bucket yet").or(page.getByText("on this device alone")).first().waitFor();
    atBench.faults.push(...(await everywhere(browser, bench, "/exchange", "exchange-new")));
  });

  test("a folder that is not there gets one sentence, and what was typed stays", async () => {
    const { page } = atBench;
    await page.getByLabel("The folder's path on this computer").fill(join(shelf, "none", "there"));
    await pressAndFollow(page, page.getByRole("button", { name: "Exchange with this folder" }));
    await page.getByRole("alert").getByText("is not there; plug the stick in").waitFor();
    await look(page, "desk-exchange-failed");
  });

  test("a folder takes what was written, and is on the list from then on", async () => {
    const { page } = atBench;
    await page.getByLabel("The folder's path on this computer").fill(shelf);
    await pressAndFollow(page, page.getByRole("button", { name: "Exchange with this folder" }));
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
    await pressAndFollow(page, page.getByRole("button", { name: "Exchange now" }));
    const asked = page.getByRole("link", { name: /^Hole 1, / });
    await asked.waitFor();
    await look(page, "desk-exchange-in-question");
    await press(page, asked);
    // Who, where and when, of each, and each with a button of its own.
    for (const [person, thread] of [["R. Barn", "3/8-16 UNC"], ["K. Bench", "7/16-14 UNC"]]) {
      const side = page.locator(".answers form", { hasText: `${person}, on Test device, ` });
      assert.match(await side.innerText(), /, on Test device, \d+ \w+ \d{4}, \d\d:\d\d/);
      await side.getByText(thread).waitFor();
      await side.getByRole("button", { name: `as ${person} says` }).waitFor();
    }
    atBench.faults.push(...(await everywhere(browser, bench, hole, "hole-in-question")));
    await press(page, page.getByRole("button", { name: /This one stands.*R\. Barn/ }));
    assert.equal(await page.locator(".leaf.question").count(), 0);
    await open(page, "/exchange");
    await page.getByText("What came in question by it is settled.").waitFor();
    assert.deepEqual(atBench.faults, []);
  });

  test("a bundle is written and saved, and another notebook takes it in", async () => {
    const { page } = atBench;
    await open(page, "/exchange");
    await page.getByLabel("All of this notebook").check();
    await pressAndFollow(page, page.getByRole("button", { name: "Write the bundle" }));
    const held = await page.getByText(/^holebook-.*\.zip holds \d+ entr/).innerText();
    await look(page, "desk-exchange-bundle-written");
    const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: "Save the bundle" }).click()]);
    assert.ok(held.startsWith(download.suggestedFilename()), held);
    const away = await OpenNotebook.fresh({ on: "shop" });
    try {
      const there = await enter(browser, away, sizes.phone);
      await open(there.page, "/exchange", away);
      await there.page.getByLabel("The bundle (a .zip file)").setInputFiles(await download.path());
      await pressAndFollow(there.page, there.page.getByRole("button", { name: "Take it in" }));
      const [, entries] = /holds (\d+) entr/.exec(held);
      await there.page.getByText(`Took ${entries} entries`).waitFor();
      await look(there.page, "phone-exchange-bundle-taken");
      await open(there.page, hole, away);
      await there.page.getByRole("heading", { level: 1, name: /^Hole 1/ }).waitFor();
      assert.deepEqual(there.faults, []);
    } finally {
      await away.remove();
    }
  });

  test("a file that is no bundle gets one sentence", async () => {
    const { page } = atBench;
    const letter = join(shelf, "..", `${basename(shelf)}-letter.zip`);
    await writeFile(letter, "Dear all,");
    await open(page, "/exchange");
    await page.getByLabel("The bundle (a .zip file)").setInputFiles(letter);
    await pressAndFollow(page, page.getByRole("button", { name: "Take it in" }));
    await page.getByRole("heading", { name: /^Not done/ }).waitFor();
    await page.getByRole("alert").getByText("letter.zip").waitFor();
    await look(page, "desk-exchange-no-bundle");
    await rm(letter);
  });

  test("a shelf is forgotten when it is asked twice, and what lies on it stays", async () => {
    const { page } = atBench;
    await open(page, "/exchange");
    const button = page.getByRole("button", { name: "Take it off" });
    assert.ok(!(await button.isVisible()), "one press does not do it");
    await page.locator("summary", { hasText: "Take off this list" }).click();
    await press(page, button);
    await page.getByText("It is off the list; nothing on it was changed.").waitFor();
    assert.equal(await page.getByRole("button", { name: "Exchange now" }).count(), 0);
    const { stdout } = await run("exchange", "--folder", shelf, "--json", "--notebook", bench.folder);
    assert.equal(JSON.parse(stdout).made_shelf, false, "the shelf is still there");
    assert.deepEqual(atBench.faults, []);
  });

  test("all of it works without JavaScript", async () => {
    const storageState = await atBench.context.storageState();
    const bare = await enter(browser, bench, { ...sizes.desk, storageState, javaScriptEnabled: false });
    await open(bare.page, "/exchange");
    await pressAndFollow(bare.page, bare.page.getByRole("button", { name: "Exchange now" }));
    await bare.page.getByRole("heading", { name: /^Done/ }).waitFor();
    await bare.context.close();
  });
});
