// A device pairs itself with a shop computer, the real program, and exchanges with it over the network: the phone, or a
// second computer. The network is held in the middle of an exchange, so that it is seen under way and ended early.

import assert from "node:assert/strict";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { enter, launch, sizes } from "./harness/browser.mjs";
import { everywhere } from "./harness/everywhere.mjs";
import { look } from "./harness/look.mjs";
import { codeWords, followToEnd, press, pressAndFollow } from "./harness/press.mjs";
import { OpenNotebook, carrier, run, sample } from "./harness/program.mjs";
import { bringIn, newFace, writeAs } from "./harness/start.mjs";
import { Wire } from "./harness/wire.mjs";
import { fold } from "./harness/work.mjs";

const size = carrier === "phone" ? "phone" : "desk";

describe(`a device pairs itself with the shop computer and exchanges, ${size}`, () => {
  let browser, shop, device, wire, page, faults, atShop;
  const open = (path) => page.goto(new URL(path, device.address).href);
  const field = () => page.getByLabel("The shop computer's words, or its link");

  /** A new code of the shop computer, from its page: its words, and its link. */
  const code = async () => {
    const { page } = atShop;
    await page.goto(new URL("/pair", shop.address).href);
    // One that is still open is withdrawn first: while it is, the page makes no other.
    const withdraw = page.getByRole("button", { name: "Withdraw the code" });
    if (await withdraw.isVisible()) await press(page, withdraw);
    await press(page, page.locator("form[action='/pair/code'] button"));
    return { words: await codeWords(page), link: await page.locator(".link code").textContent() };
  };
  /** The shop computer's page loads itself anew when a device has paired: until then it is left where it is. */
  const saysPaired = async (device) => {
    await atShop.page.getByRole("status").filter({ hasText: `${device} is paired.` }).waitFor();
    await atShop.page.waitForLoadState();
  };
  /** Types a code on the device's page. */
  const pairBy = async (typed) => {
    await open("/pair");
    if (carrier === "shop") await fold(page, "Pair this computer with another shop computer");
    await field().fill(typed);
    await press(page, page.getByRole("button", { name: "Pair", exact: true }));
  };
  /** The one sentence that the page gives to what was typed, which stays in its field. */
  const refusedFor = async (typed) => {
    await pairBy(typed);
    const sentence = page.locator(".field .wrong");
    await sentence.waitFor();
    assert.equal(await sentence.count(), 1);
    assert.equal((await field().inputValue()).trim(), typed.trim(), "what was typed stays");
    return sentence.innerText();
  };

  before(async () => {
    browser = await launch();
    shop = await OpenNotebook.fresh({ on: "shop" });
    device = await OpenNotebook.fresh();
    wire = await Wire.to(shop.shelfPort);
    atShop = await enter(browser, shop, sizes.desk);
    await writeAs(atShop.page, "K. Bench", { device: "Bench by the door" });
    await newFace(atShop.page, { casting: "Gear case" });
    const face = atShop.page.url();
    await bringIn(atShop.page);
    await atShop.page.goto(face);
    await fold(atShop.page, "Bring in another photo");
    await bringIn(atShop.page, join(sample, "hole-04.jpg"));
    ({ page, faults } = await enter(browser, device, sizes[size]));
    await writeAs(page, "R. Barn", { device: "Barn phone" });
    await newFace(page);
  });
  after(async () => {
    await browser?.close();
    wire?.cut();
    for (const notebook of [shop, device]) await notebook?.remove();
  });

  test("a code with a mistake gets one sentence that says which", async () => {
    const { words } = await code();
    const [first, second, ...rest] = words;
    assert.match(await refusedFor(["brass", "lathe", ...rest].join(" ")), /^Word \d, "\w+", is not one that codes are made of/);
    await look(page, `${size}-guest-wrong-word`);
    assert.match(await refusedFor(words.slice(1).join(" ")), /^A code has 16 words, and these are 15/);
    assert.match(await refusedFor([second, first, ...rest].join(" ")), /^One of the words is wrong or in the wrong place/);
    assert.match(await refusedFor("25,4"), /^No code was given|^A code has 16 words/);
    assert.match(await refusedFor("https://shop.invalid/pair"), /^This is not a link for pairing/);
    await pairBy("  ");
    await page.getByRole("alert").waitFor();
    faults.push(...(await everywhere(browser, device, "/pair", "guest-pair")));
  });

  test("a code that another device has used gets one sentence", async () => {
    const { words } = await code();
    const another = await OpenNotebook.fresh({ on: "shop" });
    await run("pair", "--notebook", another.folder, "--code", ...words);
    await another.remove();
    await saysPaired("a computer without a name");
    assert.match(await refusedFor(words.join(" ")), /^This code has been used, and each code is for one device; ask the shop computer for a new one\.?$/);
  });

  test("the words are taken as a phone's keyboard writes them, and the device is paired", async () => {
    const { words } = await code();
    const asTyped = words.map((word, place) => `${place + 1}. ${word[0].toUpperCase()}${word.slice(1, 4)}`).join(", ");
    await pairBy(asTyped);
    await page.getByText("Paired. Exchange with it from here.").waitFor();
    const card = page.locator("li.shelf", { hasText: "The shop computer Bench by the door" });
    await card.getByText("Not exchanged with yet.").waitFor();
    await saysPaired("Barn phone");
    await look(page, `${size}-guest-paired`);
  });

  test("forgotten, it is off the list; by the link it is paired again", async () => {
    await fold(page, "Take off this list");
    await page.getByText("This device lets go of the pairing").waitFor();
    await press(page, page.getByRole("button", { name: "Take it off" }));
    await page.getByText("It is off the list").waitFor();
    assert.equal(await page.locator("li.shelf").count(), 0);
    const { link } = await code();
    // The same shop computer, at the near end of the test's own wire.
    await pairBy(link.replace(/&a=[^&]+/g, "").replace("&k=", `&a=127.0.0.1:${wire.port}&k=`));
    await page.getByText("Paired. Exchange with it from here.").waitFor();
    await saysPaired("Barn phone");
  });

  test("an exchange says how far it is, and ends early when it is told to", async () => {
    wire.holdAfter(150_000);
    await press(page, page.getByRole("button", { name: "Exchange now" }));
    await page.getByRole("heading", { name: "Under way" }).waitFor();
    // What the shop computer has sent lies in the wire; what has come through it is what is counted.
    await page.getByText(/^Taking: \d+ of \d+ entries, 0\.[01] of 0\.5 MB of photos\./).waitFor();
    const bar = page.getByRole("progressbar");
    const [value, max] = await bar.evaluate((bar) => [bar.value, bar.max]);
    assert.ok(value < max && max > 500_000, `the bar stands at ${value} of ${max} bytes`);
    assert.equal(await page.getByRole("button", { name: "Exchange now" }).count(), 0, "one at a time");
    await look(page, `${size}-guest-under-way`);
    await press(page, page.getByRole("button", { name: "End it" }));
    wire.letGo();
    await followToEnd(page);
    await page.getByRole("heading", { name: /^Not done/ }).waitFor();
    await page.getByRole("alert").getByText(/ended/).waitFor();
    await page.getByRole("heading", { name: "Not home yet" }).waitFor();
    await look(page, `${size}-guest-ended`);
  });

  test("the next exchange brings all home, and the shop computer says what came", async () => {
    await pressAndFollow(page, page.getByRole("button", { name: "Exchange now" }));
    await page.getByRole("heading", { name: /^Done/ }).waitFor();
    await page.getByText(/^Took .*photos?; left \d+ entries\./).first().waitFor();
    if (carrier === "phone") {
      await page.getByRole("heading", { name: "All is home" }).waitFor();
      assert.equal(await page.locator(".exchange-link.not-home").count(), 0, "the head of the page says nothing of it");
    }
    await look(page, `${size}-guest-done`);
    await atShop.page.goto(new URL("/devices", shop.address).href);
    await atShop.page.getByText(/It brought \d+ entries and took .*photo/).waitFor();
    for (const [one, at] of [[atShop.page, shop], [page, device]]) {
      await one.goto(new URL("/", at.address).href);
      for (const casting of ["Water jacket", "Gear case"]) await one.getByRole("link", { name: casting }).waitFor();
    }
    assert.deepEqual(faults, []);
  });
});
