// The shop computer's pages of pairing: a code is shown, a second program pairs by it, the device is listed and revoked.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { enter, launch, sizes } from "./harness/browser.mjs";
import { everywhere } from "./harness/everywhere.mjs";
import { codeWords, press } from "./harness/press.mjs";
import { OpenNotebook, carrier, refused, run } from "./harness/program.mjs";
import { newFace, writeAs } from "./harness/start.mjs";

// Others pair with a shop computer only; the phone's side of it is in guest.test.mjs.
const skip = carrier === "phone" && "these pages are the shop computer's";

describe("others pair with the shop computer", { skip }, () => {
  let browser, shop, other, page, faults, words, link;
  const open = (path) => page.goto(new URL(path, shop.address).href);
  const pairBy = (code) => run("pair", "--notebook", other.folder, "--code", ...code.split(" "));

  /** Makes a code by the button of this name; gives its words. */
  const makeCode = async (button = "Make a code") => {
    await open("/pair");
    await press(page, page.getByRole("button", { name: button }));
    await page.getByRole("heading", { name: "On the other device" }).waitFor();
    return (await codeWords(page)).join(" ");
  };

  before(async () => {
    browser = await launch();
    shop = await OpenNotebook.fresh({ on: "shop" });
    other = await OpenNotebook.fresh({ on: "shop" });
    const there = await enter(browser, other, sizes.desk);
    await writeAs(there.page, "R. Barn");
    await newFace(there.page);
    await there.context.close();
    ({ page, faults } = await enter(browser, shop, sizes.desk));
    await writeAs(page, "K. Bench");
  });
  after(async () => {
    await browser?.close();
    for (const notebook of [shop, other]) await notebook?.remove();
  });

  test("before the first code the page says where the shop computer is reached and what pairing is for", async () => {
    await open("/exchange");
    await press(page, page.getByRole("link", { name: "Pair a device" }));
    await page.getByText(new RegExp(`reach this computer at .*${shop.shelfPort}`)).waitFor();
    await page.getByText("A phone is paired once.").waitFor();
    assert.equal(await page.locator(".scan").count(), 0);
    faults.push(...(await everywhere(browser, shop, "/pair", "pair-begin")));
  });

  test("a code is shown as words and as a square, with how long it is good", async () => {
    const before = Date.now();
    words = await makeCode();
    const made = [before, Date.now()];
    assert.equal(words.split(" ").length, 16);
    const square = page.getByRole("img", { name: "The code as a picture to scan" });
    const { width, height } = await square.boundingBox();
    assert.ok(width >= 240 && Math.abs(width - height) < 2, `the square is ${width} by ${height} px`);
    assert.ok(await square.evaluate((image) => image.complete && image.naturalWidth > 0), "it is drawn");
    await page.getByText("As a link").click();
    link = await page.locator(".link code").innerText();
    assert.match(link, new RegExp(`^holebook://pair\\?v=1&a=.*%?:${shop.shelfPort}&`));
    const [, until] = /Good until (\d\d:\d\d)/.exec(await page.locator(".code").innerText());
    const tenLater = made.map((time) => new Date(time + 600_000).toTimeString().slice(0, 5));
    assert.ok(tenLater.includes(until), `good for ten minutes, until ${tenLater.join(" or ")}, not ${until}`);
    await page.getByText("Show it to nobody else").waitFor();
    faults.push(...(await everywhere(browser, shop, "/pair", "pair-code")));
  });

  test("a code that was withdrawn is good no more, in words or as a link", async () => {
    await press(page, page.getByRole("button", { name: "Withdraw the code" }));
    await page.locator(".leaf.next").getByText("The code is good no more").waitFor();
    assert.equal(await page.locator(".scan").count(), 0, "it is shown no more");
    for (const code of [words, link]) assert.match(await pairBy(code).catch(({ stderr }) => stderr), /this code is no longer good/);
    await open("/devices");
    await page.getByText("No device is paired.").waitFor();
    faults.push(...(await everywhere(browser, shop, "/devices", "devices-none")));
  });

  test("a second program pairs by the words, and the page says so by itself", async () => {
    words = await makeCode("Make a new code");
    await pairBy(words);
    await page.getByRole("status").filter({ hasText: "Test device is paired." }).waitFor();
    await page.waitForLoadState();
    assert.equal(await page.locator(".scan").count(), 0);
    faults.push(...(await everywhere(browser, shop, "/pair", "pair-done")));
  });

  test("that code was good once: who comes by it after is told so in one sentence", async () => {
    const sentence = await refused("pair", "--notebook", other.folder, "--code", ...words.split(" "));
    assert.match(sentence, /^holebook: this code has been used, and each code is for one device; ask the shop computer for a new one\.?$/);
  });

  test("the device is listed with its last exchange", async () => {
    await press(page, page.getByRole("link", { name: "Paired devices" }));
    const card = page.getByRole("listitem").filter({ has: page.getByRole("heading", { name: "Test device" }) });
    await card.getByText("It has not exchanged yet.").waitFor();
    const { stdout } = await run("exchange", "--shop", "--json", "--notebook", other.folder);
    const { entries_left, entries_taken } = JSON.parse(stdout);
    assert.ok(entries_left > 0 && entries_taken > 0, "both had something that the other had not");
    await page.reload();
    const said = await card.innerText();
    assert.match(said, /Last exchange \d+ \w+ \d{4}, \d\d:\d\d\./);
    const [, brought, took] = /It brought (\d+) entr\w+ and took (\d+) entr/.exec(said);
    assert.deepEqual([Number(brought), Number(took)], [entries_left, entries_taken], "as the device itself counts");
    await open("/");
    await page.getByRole("link", { name: "Water jacket" }).waitFor();
    faults.push(...(await everywhere(browser, shop, "/devices", "devices")));
  });

  test("revoking asks first, and then the device gets nothing more", async () => {
    await open("/devices");
    const button = page.getByRole("button", { name: "Revoke Test device" });
    assert.ok(!(await button.isVisible()), "one press does not do it");
    await page.locator("summary", { hasText: "Revoke" }).click();
    await page.getByText("Do this when the device is lost, sold or lent.").waitFor();
    await press(page, button);
    await page.getByText("Revoked. It brings nothing").waitFor();
    await page.getByRole("heading", { name: "Revoked" }).waitFor();
    await page.getByText("No device is paired.").waitFor();
    const sentence = await refused("exchange", "--shop", "--notebook", other.folder);
    assert.match(sentence, /revoked|pair/);
    await open("/");
    await page.getByRole("link", { name: "Water jacket" }).waitFor(); // what it brought stays
    faults.push(...(await everywhere(browser, shop, "/devices", "devices-revoked")));
  });

  test("who goes on while a device pairs is not called back to the page", async () => {
    words = await makeCode("Make a code for another device");
    let letGo;
    const held = new Promise((resolve) => (letGo = resolve));
    await page.route("**/exchange", (route) => held.then(() => route.continue()));
    const asked = page.waitForRequest("**/exchange");
    const gone = press(page, page.getByRole("link", { name: "Exchange", exact: true }).first());
    await asked;
    await pairBy(words);
    // The first look from now on sees that it is over; the next one comes after that. Only then is the other page let through.
    for (const _ of ["once", "twice"]) await page.waitForRequest((request) => new URL(request.url()).pathname === "/pair");
    letGo();
    await gone;
    await page.unroute("**/exchange");
    assert.equal(new URL(page.url()).pathname, "/exchange");
  });

  test("without JavaScript a code is made, and the page says who came in", async () => {
    const storageState = await page.context().storageState();
    const bare = await enter(browser, shop, { ...sizes.desk, storageState, javaScriptEnabled: false });
    await bare.page.goto(new URL("/pair", shop.address).href);
    await press(bare.page, bare.page.getByRole("button", { name: "Make a code for another device" }));
    await pairBy((await codeWords(bare.page)).join(" "));
    await bare.page.getByText("Test device is paired.").waitFor();
    await bare.context.close();
    assert.deepEqual(faults, []);
  });
});
