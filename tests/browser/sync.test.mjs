// Sync from the page: by a folder, with a conflict that it brings and that is resolved; by a
// bundle.

import assert from "node:assert/strict";
import { existsSync } from "node:fs";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { after, before, describe, test } from "node:test";
import { launch, openPage, sizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { checkAtEverySize } from "./harness/every-size.mjs";
import { addFace, saveSettings } from "./harness/first-steps.mjs";
import { addHole, openFold, setThread } from "./harness/hole-page.mjs";
import { clickAndFinish, clickAndLoad } from "./harness/navigate.mjs";
import { carrier, run, TestNotebook } from "./harness/program.mjs";

// A phone has no folder paths to type; its sync over the network is in pairing-client.test.mjs.
const skip = carrier === "phone" && "only a shop computer syncs with a folder by its path";

describe("sync from the page", { skip }, () => {
  let browser, bench, barn, folder, atBench;
  before(async () => {
    browser = await launch();
    folder = await mkdtemp(join(tmpdir(), "holebook-remote-"));
    bench = await TestNotebook.create({ on: "shop" });
    barn = await TestNotebook.create({ on: "shop" });
    atBench = await openPage(browser, bench, sizes.desktop);
    await saveSettings(atBench.page, "K. Bench");
  });
  after(async () => {
    await browser?.close();
    for (const notebook of [bench, barn]) await notebook?.remove();
    if (folder) await rm(folder, { recursive: true, force: true });
  });

  const open = (page, path, notebook = bench) => page.goto(new URL(path, notebook.address).href);
  let hole;

  test("the page says what is on this computer only, and passes the checks at both sizes", async () => {
    const { page } = atBench;
    await addFace(page);
    await addHole(page);
    hole = new URL(page.url()).pathname;
    await clickAndLoad(page, page.locator(".sync-link"));
    await page.getByRole("heading", { level: 1, name: "Sync" }).waitFor();
    await page.getByText("on no stick, folder or bucket yet").or(page.getByText("on this device only")).first().waitFor();
    atBench.errors.push(...(await checkAtEverySize(browser, bench, "/sync", "sync-new")));
  });

  test("a folder that does not exist gets one sentence", async () => {
    const { page } = atBench;
    await page.getByLabel("Folder path on this computer").fill(join(folder, "none", "there"));
    await clickAndFinish(page, page.getByRole("button", { name: "Sync with this folder" }));
    await page.getByRole("alert").getByText("was not found; plug in the stick").waitFor();
    await checkPage(page, "desktop-sync-failed");
  });

  test("a missing folder is created only after a question", async () => {
    const { page } = atBench;
    const missing = join(folder, "missing");
    await page.getByLabel("Folder path on this computer").fill(missing);
    await clickAndLoad(page, page.getByRole("button", { name: "Sync with this folder" }));
    await page.getByText("There is no folder at this path.").waitFor();
    assert.ok(!existsSync(missing));
    await page.getByLabel("Create this folder").check();
    await clickAndFinish(page, page.getByRole("button", { name: "Sync with this folder" }));
    await page.getByText("New remote created.").waitFor();
    await openFold(page, "Remove from list");
    await clickAndLoad(page, page.getByRole("button", { name: "Remove" }));
    await rm(missing, { recursive: true });
  });

  test("a folder receives what was recorded, and is on the list from then on", async () => {
    const { page } = atBench;
    await page.getByLabel("Folder path on this computer").fill(folder);
    await clickAndFinish(page, page.getByRole("button", { name: "Sync with this folder" }));
    await page.getByRole("heading", { name: /^Done/ }).waitFor();
    await page.getByText(/^Received nothing; sent \d+ entries/).first().waitFor();
    await page.getByRole("heading", { name: "All synced" }).waitFor();
    await page.getByRole("button", { name: "Sync now" }).waitFor();
    await checkPage(page, "desktop-sync-done");
  });

  test("what another device recorded meanwhile is a conflict, resolved by a link on the sync page", async () => {
    const { page } = atBench;
    await run("sync", "--folder", folder, "--notebook", barn.folder);
    const other = await openPage(browser, barn, sizes.desktop);
    await saveSettings(other.page, "R. Barn");
    await open(other.page, hole, barn);
    await setThread(other.page, { thread: "3/8-16" });
    await other.context.close();
    await run("sync", "--notebook", barn.folder);
    await open(page, hole);
    await setThread(page, { thread: "7/16-14" });
    await open(page, "/sync");
    await clickAndFinish(page, page.getByRole("button", { name: "Sync now" }));
    const link = page.getByRole("link", { name: /^Hole 1, / });
    await link.waitFor();
    await checkPage(page, "desktop-sync-conflict");
    await clickAndLoad(page, link);
    // Each with its author, device and time, and with a button.
    for (const [person, thread] of [["R. Barn", "3/8-16 UNC"], ["K. Bench", "7/16-14 UNC"]]) {
      const side = page.locator(".side-by-side > div", { hasText: `${person}, on Test device, ` });
      assert.match(await side.innerText(), /, on Test device, \d+ \w+ \d{4}, \d\d:\d\d/);
      await side.getByText(thread).waitFor();
      await side.getByRole("button", { name: `by ${person}` }).waitFor();
    }
    atBench.errors.push(...(await checkAtEverySize(browser, bench, hole, "hole-conflict")));
    await clickAndLoad(page, page.getByRole("button", { name: /Use this one.*R\. Barn/ }));
    assert.equal(await page.locator(".panel.conflict").count(), 0);
    await open(page, "/sync");
    await page.getByText("All conflicts from it are resolved.").waitFor();
    assert.deepEqual(atBench.errors, []);
  });

  test("a bundle is exported and saved, and another notebook imports it", async () => {
    const { page } = atBench;
    await open(page, "/sync");
    await page.getByLabel("Whole notebook").check();
    await clickAndFinish(page, page.getByRole("button", { name: "Export bundle" }));
    const contents = await page.getByText(/^holebook-.*\.zip: \d+ entr/).innerText();
    await checkPage(page, "desktop-sync-bundle-exported");
    const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: "Save the bundle" }).click()]);
    assert.ok(contents.startsWith(download.suggestedFilename()), contents);
    const away = await TestNotebook.create({ on: "shop" });
    try {
      const there = await openPage(browser, away, sizes.phone);
      await open(there.page, "/sync", away);
      await there.page.getByLabel("Bundle (.zip file)").setInputFiles(await download.path());
      await clickAndFinish(there.page, there.page.getByRole("button", { name: "Import bundle" }));
      const [, entries] = /: (\d+) entr/.exec(contents);
      await there.page.getByText(`Imported ${entries} entries`).waitFor();
      await checkPage(there.page, "phone-sync-bundle-imported");
      await open(there.page, hole, away);
      await there.page.getByRole("heading", { level: 1, name: /^Hole 1/ }).waitFor();
      assert.deepEqual(there.errors, []);
    } finally {
      await away.remove();
    }
  });

  test("a file that is not a bundle gets one sentence", async () => {
    const { page } = atBench;
    const letter = join(folder, "..", `${basename(folder)}-letter.zip`);
    await writeFile(letter, "Dear all,");
    await open(page, "/sync");
    await page.getByLabel("Bundle (.zip file)").setInputFiles(letter);
    await clickAndFinish(page, page.getByRole("button", { name: "Import bundle" }));
    await page.getByRole("heading", { name: /^Failed/ }).waitFor();
    await page.getByRole("alert").getByText("letter.zip").waitFor();
    await checkPage(page, "desktop-sync-not-a-bundle");
    await rm(letter);
  });

  test("a remote is removed from the list in two steps, and what is on it stays", async () => {
    const { page } = atBench;
    await open(page, "/sync");
    const button = page.getByRole("button", { name: "Remove" });
    assert.ok(!(await button.isVisible()), "one click does not do it");
    await page.locator("summary", { hasText: "Remove from list" }).click();
    await clickAndLoad(page, button);
    await page.getByText("Removed from the list. Nothing on it was changed.").waitFor();
    assert.equal(await page.getByRole("button", { name: "Sync now" }).count(), 0);
    const { stdout } = await run("sync", "--folder", folder, "--json", "--notebook", bench.folder);
    assert.equal(JSON.parse(stdout).created_remote, false, "the remote is still there");
    assert.deepEqual(atBench.errors, []);
  });

  test("sync works without JavaScript", async () => {
    const storageState = await atBench.context.storageState();
    const plain = await openPage(browser, bench, { ...sizes.desktop, storageState, javaScriptEnabled: false });
    await open(plain.page, "/sync");
    await clickAndFinish(plain.page, plain.page.getByRole("button", { name: "Sync now" }));
    await plain.page.getByRole("heading", { name: /^Done/ }).waitFor();
    await plain.context.close();
  });
});
