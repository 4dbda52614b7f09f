// Pairing on the shop computer's pages: it shows a code, a second program pairs by it, and the
// device is listed and revoked.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openPage, sizes } from "./harness/browser.mjs";
import { checkAtEverySize } from "./harness/every-size.mjs";
import { addFace, saveSettings } from "./harness/first-steps.mjs";
import { clickAndLoad, typedCode } from "./harness/navigate.mjs";
import { carrier, run, runFailing, TestNotebook } from "./harness/program.mjs";

// Devices pair with shop computers only; the device's side is in pairing-client.test.mjs.
const skip = carrier === "phone" && "only a shop computer has these pages";

describe("devices pair with the shop computer", { skip }, () => {
  let browser, shop, other, page, errors, typed, link;
  const open = (path) => page.goto(new URL(path, shop.address).href);
  const pairBy = (code) => run("pair", "--notebook", other.folder, "--code", ...code.split(" "));

  /** Makes a code by the button with this name; returns what to type. */
  const makeCode = async (button = "Make a pairing code") => {
    await open("/pair");
    await clickAndLoad(page, page.getByRole("button", { name: button }));
    await page.getByRole("heading", { name: "On the other device" }).waitFor();
    return typedCode(page);
  };

  before(async () => {
    browser = await launch();
    shop = await TestNotebook.create({ on: "shop" });
    other = await TestNotebook.create({ on: "shop" });
    const opened = await openPage(browser, other, sizes.desktop);
    await saveSettings(opened.page, "R. Barn");
    await addFace(opened.page);
    await opened.context.close();
    ({ page, errors } = await openPage(browser, shop, sizes.desktop));
    await saveSettings(page, "K. Bench");
  });
  after(async () => {
    await browser?.close();
    for (const notebook of [shop, other]) await notebook?.remove();
  });

  test("before the first code the page gives the address of the shop computer and says what pairing is for", async () => {
    await open("/sync");
    await clickAndLoad(page, page.getByRole("link", { name: "Pair a device" }));
    await page.getByText(new RegExp(`reach this computer at .*${shop.syncPort}`)).waitFor();
    await page.getByText("Pair a phone once").waitFor();
    assert.equal(await page.locator(".qr-code").count(), 0);
    errors.push(...(await checkAtEverySize(browser, shop, "/pair", "pair-start")));
  });

  test("a code is shown as digits and as a QR code, with its expiry", async () => {
    const before = Date.now();
    typed = await makeCode();
    const made = [before, Date.now()];
    assert.match(typed, /^\S+ \d{3} \d{3} \d{3}$/);
    const qrCode = page.getByRole("img", { name: "Pairing code to scan" });
    const { width, height } = await qrCode.boundingBox();
    assert.ok(width >= 240 && Math.abs(width - height) < 2, `the QR code is ${width} by ${height} px`);
    assert.ok(await qrCode.evaluate((image) => image.complete && image.naturalWidth > 0), "it is drawn");
    await page.getByText("Link", { exact: true }).click();
    link = await page.locator(".pairing-link code").innerText();
    assert.match(link, new RegExp(`^holebook://pair\\?v=1&a=.*%?:${shop.syncPort}&`));
    const [, until] = /Expires at (\d\d:\d\d)/.exec(await page.locator(".code").innerText());
    const inTenMinutes = made.map((time) => new Date(time + 600_000).toTimeString().slice(0, 5));
    assert.ok(inTenMinutes.includes(until), `expires at ${inTenMinutes.join(" or ")}, not ${until}`);
    await page.getByText("Anyone with this code can read and change this whole notebook").waitFor();
    errors.push(...(await checkAtEverySize(browser, shop, "/pair", "pair-code")));
  });

  test("a withdrawn code no longer works, typed or as a link", async () => {
    await clickAndLoad(page, page.getByRole("button", { name: "Withdraw code" }));
    await page.locator(".panel.next").getByText("The code no longer works").waitFor();
    assert.equal(await page.locator(".qr-code").count(), 0, "it is not shown any more");
    for (const code of [typed, link]) assert.match(await pairBy(code).catch(({ stderr }) => stderr), /this pairing code no longer works/);
    await open("/devices");
    await page.getByText("No device is paired.").waitFor();
    errors.push(...(await checkAtEverySize(browser, shop, "/devices", "devices-none")));
  });

  test("a second program pairs by the digits, and the page says so by itself", async () => {
    typed = await makeCode("Make a new code");
    await page.getByText("Link", { exact: true }).click();
    link = await page.locator(".pairing-link code").innerText();
    await pairBy(typed);
    await page.getByRole("status").filter({ hasText: "Test device is paired." }).waitFor();
    await page.waitForLoadState();
    assert.equal(await page.locator(".qr-code").count(), 0);
    errors.push(...(await checkAtEverySize(browser, shop, "/pair", "pair-done")));
  });

  test("a code works once; a second try gets one sentence", async () => {
    const sentence = await runFailing("pair", "--notebook", other.folder, "--code", link);
    assert.match(sentence, /^holebook: this pairing code was already used, and each code is for one device; get a new one from the shop computer\.?$/);
  });

  test("the device is listed with its last sync", async () => {
    await clickAndLoad(page, page.getByRole("link", { name: "Paired devices" }));
    const card = page.getByRole("listitem").filter({ has: page.getByRole("heading", { name: "Test device" }) });
    await card.getByText("Not synced yet.").waitFor();
    const { stdout } = await run("sync", "--shop", "--json", "--notebook", other.folder);
    const { entries_pushed, entries_pulled } = JSON.parse(stdout);
    assert.ok(entries_pushed > 0 && entries_pulled > 0, "each had entries that the other had not");
    await page.reload();
    const text = await card.innerText();
    assert.match(text, /Last sync \d+ \w+ \d{4}, \d\d:\d\d\./);
    const [, sent, received] = /It sent (\d+) entr\w+ and received (\d+) entr/.exec(text);
    assert.deepEqual([Number(sent), Number(received)], [entries_pushed, entries_pulled], "as the device itself counts");
    await open("/");
    await page.getByRole("link", { name: "Water jacket", exact: true }).waitFor();
    errors.push(...(await checkAtEverySize(browser, shop, "/devices", "devices")));
  });

  test("revoking takes two clicks, and then the device can no longer sync", async () => {
    await open("/devices");
    const button = page.getByRole("button", { name: "Revoke Test device" });
    assert.ok(!(await button.isVisible()), "one click does not do it");
    await page.locator("summary", { hasText: "Revoke" }).click();
    await page.getByText("For a device that is lost, sold or lent.").waitFor();
    await clickAndLoad(page, button);
    await page.getByText("Revoked. This device can no longer sync").waitFor();
    await page.getByRole("heading", { name: "Revoked" }).waitFor();
    await page.getByText("No device is paired.").waitFor();
    const sentence = await runFailing("sync", "--shop", "--notebook", other.folder);
    assert.match(sentence, /revoked|pair/);
    await open("/");
    await page.getByRole("link", { name: "Water jacket", exact: true }).waitFor(); // what it synced stays
    errors.push(...(await checkAtEverySize(browser, shop, "/devices", "devices-revoked")));
  });

  test("leaving the page while a device pairs does not return to it", async () => {
    typed = await makeCode("Make a code for another device");
    let resume;
    const held = new Promise((resolve) => (resume = resolve));
    await page.route("**/sync", (route) => held.then(() => route.continue()));
    const requested = page.waitForRequest("**/sync");
    const loaded = clickAndLoad(page, page.getByRole("link", { name: "Sync", exact: true }).first());
    await requested;
    await pairBy(typed);
    // The next poll may have been sent before the device paired; the one after it was not.
    for (const _ of [1, 2]) await page.waitForRequest((request) => new URL(request.url()).pathname === "/pair");
    resume();
    await loaded;
    await page.unroute("**/sync");
    assert.equal(new URL(page.url()).pathname, "/sync");
  });

  test("without JavaScript a code is made, and the page names the device that paired", async () => {
    const storageState = await page.context().storageState();
    const plain = await openPage(browser, shop, { ...sizes.desktop, storageState, javaScriptEnabled: false });
    await plain.page.goto(new URL("/pair", shop.address).href);
    await clickAndLoad(plain.page, plain.page.getByRole("button", { name: "Make a code for another device" }));
    await pairBy(await typedCode(plain.page));
    await plain.page.getByText("Test device is paired.").waitFor();
    await plain.context.close();
    assert.deepEqual(errors, []);
  });
});
