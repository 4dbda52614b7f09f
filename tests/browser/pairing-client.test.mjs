// A device, the phone or a second computer, pairs with a shop computer and syncs with it over the
// network. The network stalls in the middle of a sync, so that its progress shows and it can be
// stopped.

import assert from "node:assert/strict";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { launch, openPage, sizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { checkAtEverySize } from "./harness/every-size.mjs";
import { addFace, addPhoto, saveSettings } from "./harness/first-steps.mjs";
import { openFold } from "./harness/hole-page.mjs";
import { clickAndFinish, clickAndLoad, typedCode, waitUntilFinished } from "./harness/navigate.mjs";
import { carrier, run, sample, TestNotebook } from "./harness/program.mjs";
import { StallingProxy } from "./harness/stalling-proxy.mjs";

const size = carrier === "phone" ? "phone" : "desktop";

describe(`a device pairs with a shop computer and syncs, ${size}`, () => {
  let browser, shop, device, proxy, page, errors, atShop;
  const open = (path) => page.goto(new URL(path, device.address).href);
  const field = () => page.getByLabel("Pairing code or link");

  /** Makes a new code on the shop computer's page; returns what to type, and its link. */
  const makeCode = async () => {
    const { page } = atShop;
    await page.goto(new URL("/pair", shop.address).href);
    // The page makes no other code while one is open.
    const withdraw = page.getByRole("button", { name: "Withdraw code" });
    if (await withdraw.isVisible()) await clickAndLoad(page, withdraw);
    await clickAndLoad(page, page.locator("form[action='/pair/code'] button"));
    return { typed: await typedCode(page), link: await page.locator(".pairing-link code").textContent() };
  };
  /** Waits until the shop computer's page says so by itself. */
  const waitUntilPaired = async (device) => {
    await atShop.page.getByRole("status").filter({ hasText: `${device} is paired.` }).waitFor();
    await atShop.page.waitForLoadState();
  };
  /** Types a code on the device's page. */
  const pairBy = async (typed) => {
    await open("/pair");
    if (carrier === "shop") await openFold(page, "Pair this computer with another shop computer");
    await field().fill(typed);
    await clickAndLoad(page, page.getByRole("button", { name: "Pair", exact: true }));
  };
  /** Enters an invalid code; checks that it stays in its field, and returns the error message. */
  const rejectionOf = async (typed) => {
    await pairBy(typed);
    const sentence = page.locator(".field .field-error");
    await sentence.waitFor();
    assert.equal(await sentence.count(), 1);
    assert.equal((await field().inputValue()).trim(), typed.trim(), "what was typed stays");
    return sentence.innerText();
  };

  before(async () => {
    browser = await launch();
    shop = await TestNotebook.create({ on: "shop" });
    device = await TestNotebook.create();
    proxy = await StallingProxy.to(shop.syncPort);
    atShop = await openPage(browser, shop, sizes.desktop);
    await saveSettings(atShop.page, "K. Bench", { device: "Bench by the door" });
    await addFace(atShop.page, { casting: "Gear case" });
    const face = atShop.page.url();
    await addPhoto(atShop.page);
    await atShop.page.goto(face);
    await openFold(atShop.page, "Add another photo");
    await addPhoto(atShop.page, join(sample, "hole-04.jpg"));
    ({ page, errors } = await openPage(browser, device, sizes[size]));
    await saveSettings(page, "R. Barn", { device: "Barn phone" });
    await addFace(page);
  });
  after(async () => {
    await browser?.close();
    proxy?.close();
    for (const notebook of [shop, device]) await notebook?.remove();
  });

  test("a code with a mistake gets one sentence that says which", async () => {
    const { typed } = await makeCode();
    assert.match(await rejectionOf(`brass ${typed}`), /^"brass" is not part of a pairing code/);
    await checkPage(page, `${size}-pairing-wrong-part`);
    assert.match(await rejectionOf(typed.slice(0, -1)), /^A pairing code has 9 digits, and 8 were entered/);
    const last = (Number(typed.at(-1)) + 1) % 10;
    assert.match(await rejectionOf(typed.slice(0, -1) + last), /^The digits are not those of the pairing code/);
    assert.match(await rejectionOf("25,4"), /^A pairing code has 9 digits, and 3 were entered/);
    assert.match(await rejectionOf("https://shop.invalid/pair"), /^This is not a pairing link/);
    await pairBy("  ");
    await page.getByRole("alert").waitFor();
    errors.push(...(await checkAtEverySize(browser, device, "/pair", "pairing")));
  });

  test("a code that another device has used gets one sentence", async () => {
    const { typed, link } = await makeCode();
    const another = await TestNotebook.create({ on: "shop" });
    await run("pair", "--notebook", another.folder, "--code", ...typed.split(" "));
    await another.remove();
    await waitUntilPaired("unnamed computer");
    assert.match(await rejectionOf(link), /^This pairing code was already used, and each code is for one device; get a new one from the shop computer\.?$/);
  });

  test("the digits are accepted as a phone's keyboard writes them, and the device is paired", async () => {
    const { typed } = await makeCode();
    const [address, ...digits] = typed.split(" ");
    await pairBy(`${address}\n${digits.join("-")}`);
    await page.getByText("Paired. You can sync with it from here.").waitFor();
    const card = page.locator("li.remote", { hasText: "The shop computer Bench by the door" });
    await card.getByText("Not synced yet.").waitFor();
    await waitUntilPaired("Barn phone");
    await checkPage(page, `${size}-paired`);
  });

  test("the shop computer can be removed from the list, and paired again by the link", async () => {
    await openFold(page, "Remove from list");
    await page.getByText("Ends the pairing; to sync with it again, pair again.").waitFor();
    await clickAndLoad(page, page.getByRole("button", { name: "Remove" }));
    await page.getByText("Removed from the list.").waitFor();
    assert.equal(await page.locator("li.remote").count(), 0);
    const { link } = await makeCode();
    // The same shop computer, through the proxy.
    await pairBy(link.replace(/&a=[^&]+/g, "").replace("&k=", `&a=127.0.0.1:${proxy.port}&k=`));
    await page.getByText("Paired. You can sync with it from here.").waitFor();
    await waitUntilPaired("Barn phone");
  });

  test("a sync shows its progress, and can be stopped", async () => {
    proxy.stallAfter(150_000);
    await clickAndLoad(page, page.getByRole("button", { name: "Sync now" }));
    await page.getByRole("heading", { name: "Syncing" }).waitFor();
    // Only what has come through the proxy is counted.
    await page.getByText(/^Receiving: \d+ of \d+ entries, 0\.[01] of 0\.5 MB of photos\./).waitFor();
    const bar = page.getByRole("progressbar");
    const [value, max] = await bar.evaluate((bar) => [bar.value, bar.max]);
    assert.ok(value < max && max > 500_000, `the bar is at ${value} of ${max} bytes`);
    assert.equal(await page.getByRole("button", { name: "Sync now" }).count(), 0, "one at a time");
    await checkPage(page, `${size}-syncing`);
    await clickAndLoad(page, page.getByRole("button", { name: "Stop" }));
    proxy.resume();
    await waitUntilFinished(page);
    await page.getByRole("heading", { name: /^Failed/ }).waitFor();
    await page.getByRole("alert").getByText(/canceled/).waitFor();
    await page.getByRole("heading", { name: "Not synced yet" }).waitFor();
    await checkPage(page, `${size}-sync-stopped`);
  });

  test("the next sync transfers the rest, and the shop computer shows the counts", async () => {
    await clickAndFinish(page, page.getByRole("button", { name: "Sync now" }));
    await page.getByRole("heading", { name: /^Done/ }).waitFor();
    await page.getByText(/^Received .*photos?; sent \d+ entries\./).first().waitFor();
    if (carrier === "phone") {
      await page.getByRole("heading", { name: "All synced" }).waitFor();
      assert.equal(await page.locator(".sync-link.not-synced").count(), 0, "the header shows no count");
    }
    await checkPage(page, `${size}-synced`);
    await atShop.page.goto(new URL("/devices", shop.address).href);
    await atShop.page.getByText(/It sent \d+ entries and received .*photo/).waitFor();
    for (const [opened, notebook] of [[atShop.page, shop], [page, device]]) {
      await opened.goto(new URL("/", notebook.address).href);
      for (const casting of ["Water jacket", "Gear case"]) await opened.getByRole("link", { name: casting, exact: true }).waitFor();
    }
    assert.deepEqual(errors, []);
  });
});
