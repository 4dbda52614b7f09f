// What only the phone does: Android ends the app at any moment, keys for gloved hands, photos shared by other apps,
// and a WebView that reaches nobody.

import assert from "node:assert/strict";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { enter, launch, sizes } from "./harness/browser.mjs";
import { look } from "./harness/look.mjs";
import { press, pressAndFollow } from "./harness/press.mjs";
import { OpenNotebook, carrier, run, sample } from "./harness/program.mjs";
import { newFace, writeAs } from "./harness/start.mjs";
import { addHole, fold } from "./harness/work.mjs";

const skip = carrier !== "phone" && "HOLEBOOK_CARRIER=phone runs these";

describe("the phone", { skip }, () => {
  let browser, notebook, shop, written, context, page, faults, facePath, holePaths;
  const go = (path) => page.goto(new URL(path, notebook.address).href);
  const path = () => new URL(page.url()).pathname;
  const reading = () => page.getByRole("group", { name: "Depth to the bottom" }).getByLabel(/^Reading/);

  /** The app is ended and opened again at the page that showed, as Android does it. */
  const restart = async () => {
    const shown = page.url();
    const state = await notebook.phone.die();
    await context.close();
    await notebook.phone.wake(notebook.folder);
    await notebook.phone.ask("restore", {}, state);
    ({ context, page, faults } = await enter(browser, notebook, sizes.phone));
    await page.goto(shown);
  };

  before(async () => {
    browser = await launch();
    notebook = await OpenNotebook.fresh();
    shop = await OpenNotebook.fresh({ demo: true, on: "shop" });
    ({ context, page, faults } = await enter(browser, notebook, sizes.phone));
    await writeAs(page, "R. Sample");
    await newFace(page);
    facePath = path();
    holePaths = [];
    for (let hole = 0; hole < 3; hole += 1) {
      await go(facePath);
      holePaths.push(await addHole(page));
    }
  });
  after(async () => {
    await browser?.close();
    await notebook?.remove();
    await shop?.remove();
  });

  test("a half-typed reading is still there after Android has ended the app", async () => {
    await go(holePaths[0]);
    await fold(page, "Write down readings");
    await reading().fill("31.7");
    await page.getByLabel("A note").fill("oil in the bottom");
    await notebook.phone.heard("oil in the bottom");
    await restart();
    await page.getByRole("status").filter({ hasText: "still here" }).waitFor();
    assert.equal(await reading().inputValue(), "31.7");
    assert.ok(await reading().isVisible(), "its fold is open");
    assert.equal(await page.getByLabel("A note").inputValue(), "oil in the bottom");
    assert.equal(await page.locator(".journal").getByText("31.7").count(), 0, "and it is not recorded");
    await look(page, "phone-typed-still-here", { folds: false });
  });

  test("what is recorded is no longer kept as typed, what stands beside it is", async () => {
    await press(page, page.getByRole("button", { name: "Record the readings" }));
    await page.getByText("Readings recorded.").waitFor();
    await page.getByRole("status").filter({ hasText: "still here" }).waitFor();
    assert.equal(await page.getByLabel("A note").inputValue(), "oil in the bottom");
    await fold(page, "Write down readings");
    assert.equal(await reading().inputValue(), "");
    await page.getByLabel("A note").fill("");
    await notebook.phone.heard("oil in the bottom", false);
    await restart();
    assert.equal(await page.getByRole("status").filter({ hasText: "still here" }).count(), 0);
  });

  test("a form that was refused keeps what was typed after the app has ended", async () => {
    await go(holePaths[1]);
    await fold(page, "Write down readings");
    await reading().fill("31,7,1");
    await press(page, page.getByRole("button", { name: "Record the readings" }));
    await page.getByRole("alert").waitFor();
    await notebook.phone.heard("31,7,1");
    assert.equal(path(), `${holePaths[1]}/reading`);
    await restart();
    await page.waitForURL(new URL(holePaths[1], notebook.address).href);
    await page.getByRole("status").filter({ hasText: "still here" }).waitFor();
    assert.equal(await reading().inputValue(), "31,7,1");
    await reading().fill("31.8");
    await press(page, page.getByRole("button", { name: "Record the readings" }));
    await page.getByText("Readings recorded.").waitFor();
    assert.equal(await page.getByRole("status").filter({ hasText: "still here" }).count(), 0);
  });

  test("the volume keys step between holes, and what was typed waits where it was", async () => {
    await go(holePaths[1]);
    await fold(page, "Write down readings");
    await reading().fill("12");
    await notebook.phone.heard('\\"12\\"');
    await notebook.phone.press(page, "down");
    await page.getByRole("heading", { level: 1, name: "Hole 3" }).waitFor();
    await notebook.phone.press(page, "up");
    await page.getByRole("heading", { level: 1, name: "Hole 2" }).waitFor();
    await page.getByRole("status").filter({ hasText: "still here" }).waitFor();
    assert.equal(await reading().inputValue(), "12");
    await notebook.phone.press(page, "up");
    await page.getByRole("heading", { level: 1, name: "Hole 1" }).waitFor();
    await notebook.phone.press(page, "up");
    assert.equal(path(), holePaths[0], "there is none before the first");
  });

  test("a second press of a button records nothing twice", async () => {
    await go(facePath);
    // Both presses before the answer to the first can come.
    const twice = { click: () => page.getByRole("button", { name: "Add the hole" }).evaluate((button) => [button.click(), button.click()]) };
    await press(page, twice);
    assert.match(path(), /^\/hole\//);
    await go(facePath);
    assert.equal(await page.locator(".holes a[href^='/hole/']").count(), 4);
  });

  test("photos shared by another app wait on every page and come in on their face", async () => {
    await notebook.phone.share(join(sample, "../screens/face.jpg")); // not the photo that the sample's notebook has
    await go("/");
    await page.getByText("One photo that was shared waits to be brought in.").waitFor();
    await look(page, "phone-shared-waits");
    await go(facePath);
    await look(page, "phone-shared-face");
    await press(page, page.getByRole("button", { name: "Bring it in here" }));
    await page.waitForURL(/\/photo\//);
    await page.getByRole("button", { name: "Mark", exact: true }).waitFor();
    assert.equal(await page.getByText("was shared").count(), 0);
  });

  test("the sheet goes to other apps, and to the phone's print window", async () => {
    await go(`${facePath}/sheet`);
    await look(page, "phone-sheet");
    await press(page, page.getByRole("button", { name: "Share this sheet" }));
    await press(page, page.getByRole("button", { name: /^Print/ }));
    const face = facePath.replace("/face/", "");
    assert.equal(await notebook.phone.ask("asked"), `share ${face}\nprint`);
    assert.equal(path(), `${facePath}/sheet`);
  });

  test("how much is not home yet stands on every page, and leads to the exchange", async () => {
    await go(facePath);
    const photoPath = await page.locator("a[href^='/photo/']").first().getAttribute("href");
    for (const where of ["/", "/settings", "/bench", "/exchange", "/pair", facePath, photoPath, `${facePath}/sheet`, holePaths[0]]) {
      await go(where);
      await page.getByRole("link", { name: /^Exchange: ⇧?\s*\d+ not home$/ }).waitFor();
    }
    await press(page, page.getByRole("link", { name: /not home$/ }));
    await page.getByText(/\d+ entries.* on this device alone.*and would be lost with it/).waitFor();
    await look(page, "phone-exchange");
  });

  test("a link with a pairing code fills the field and asks; pairing wants a tap", async () => {
    const atShop = await enter(browser, shop, sizes.desk);
    await atShop.page.goto(new URL("/pair", shop.address).href);
    await press(atShop.page, atShop.page.getByRole("button", { name: "Make a code" }));
    const link = await atShop.page.locator(".link code").textContent();
    await go(await notebook.phone.ask("opened", { link }));
    await page.getByText("Look twice").waitFor();
    assert.equal(await page.getByLabel(/words, or its link/).inputValue(), link);
    await look(page, "phone-pair-asks");
    await go("/exchange");
    assert.equal(await page.getByRole("heading", { name: /^The shop computer/ }).count(), 0, "nothing is paired by looking");
    await go(await notebook.phone.ask("opened", { link }));
    await press(page, page.getByRole("button", { name: "Pair", exact: true }));
    await page.getByRole("heading", { name: /^The shop computer/ }).waitFor();
    await atShop.context.close();
    await look(page, "phone-paired");
    await go(await notebook.phone.ask("opened", { link: "holebook://pair" }));
    await page.getByText("holds no pairing code").waitFor();
    await look(page, "phone-no-code");
  });

  test("the exchange with a shop computer takes what it has and brings all home", async () => {
    await go("/exchange");
    await pressAndFollow(page, page.getByRole("button", { name: "Exchange now" }));
    await page.getByText(/Took \d+ entries and 1 photo; left \d+ entries and 1 photo/).first().waitFor();
    await look(page, "phone-exchanged");
    await go(holePaths[0]);
    assert.equal(await page.getByText("not home").count(), 0);
    await go("/");
    await page.getByRole("link", { name: "Water jacket", exact: true }).waitFor();
    const list = JSON.parse((await run("list", "--json", "--notebook", shop.folder)).stdout);
    assert.ok(list.castings.length > 1, "the shop computer has the phone's casting beside its own");
  });

  test("a shop computer that is not there is said, and what was written stays", async () => {
    await shop.shut();
    await go(facePath);
    await addHole(page);
    await go("/exchange");
    await pressAndFollow(page, page.getByRole("button", { name: "Exchange now" }));
    await page.getByRole("alert").filter({ hasText: "reached" }).waitFor();
    await look(page, "phone-not-reached");
    await page.getByRole("link", { name: /1 not home$/ }).waitFor();
  });

  test("a bundle goes out by the phone's other apps", async () => {
    await page.getByLabel("All of this notebook").check();
    await pressAndFollow(page, page.getByRole("button", { name: "Write the bundle" }));
    await page.getByRole("link", { name: "Save the bundle, or share it" }).waitFor();
    await look(page, "phone-bundle-written");
    await press(page, page.getByRole("link", { name: "Save the bundle, or share it" }));
    const asked = await notebook.phone.ask("asked");
    written = asked.split("\n").find((line) => line.startsWith("bundle ")).slice("bundle ".length);
    assert.match(written, /\.zip$/);
    assert.equal(path(), "/exchange");
  });

  test("a bundle that another app shared waits on every page until a person takes it in", async () => {
    const other = await OpenNotebook.fresh();
    const { context, page, faults } = await enter(browser, other, sizes.phone);
    try {
      const go = (path) => page.goto(new URL(path, other.address).href);
      await other.phone.share(written);
      await go("/");
      await page.getByText(/The bundle .*\.zip .* was shared and waits to be taken in/).waitFor();
      await look(page, "phone-bundle-waits");
      await press(page, page.getByRole("link", { name: "Look at it" }));
      await look(page, "phone-bundle-asks");
      await pressAndFollow(page, page.getByRole("button", { name: "Take it in" }).first());
      await page.getByText(/Took \d+ entries/).first().waitFor();
      assert.equal(await page.getByText("was shared").count(), 0);
      // The same by the phone's own chooser: nothing in it is new.
      await page.getByLabel("The bundle (a .zip file)").setInputFiles(written);
      await pressAndFollow(page, page.getByRole("button", { name: "Take it in" }));
      await page.getByText("Nothing in it was new.").waitFor();
      // What is no bundle says so, and changes nothing.
      await page.getByLabel("The bundle (a .zip file)").setInputFiles(join(sample, "joint-face.jpg"));
      await pressAndFollow(page, page.getByRole("button", { name: "Take it in" }));
      await page.getByRole("alert").filter({ hasText: "joint-face.jpg" }).waitFor();
      await look(page, "phone-bundle-bad");
      assert.deepEqual(faults, []);
    } finally {
      await context.close();
      await other.remove();
    }
  });

  test("by cable: what the phone alone has is left in the folder", async () => {
    await go("/exchange");
    await press(page, page.getByRole("link", { name: "Bring home by cable" }));
    await look(page, "phone-cable");
    await pressAndFollow(page, page.getByRole("button", { name: "Exchange with the folder" }));
    await page.getByText(/left \d+ entries and \d+ photos?/).first().waitFor();
    await go(holePaths[0]);
    assert.equal(await page.getByText("not home").count(), 0);
    // The shop computer takes it from there.
    const { stdout } = await run("exchange", "--json", "--folder", join(notebook.phone.folder, "files/shelf"), "--notebook", join(notebook.phone.folder, "shop"));
    assert.ok(JSON.parse(stdout).entries_taken > 5, stdout);
    assert.deepEqual(faults, []);
  });

  test("a page reaches nobody else and runs nobody else's script", async () => {
    await go("/");
    const reached = await page.evaluate(async () => {
      const tries = [() => fetch("https://example.org/"), () => fetch("http://127.0.0.1/")];
      const outcomes = [];
      for (const attempt of tries) outcomes.push(await Promise.resolve().then(attempt).then(() => "done", () => "refused"));
      const script = document.createElement("script");
      script.textContent = "window.intruder = true";
      document.body.append(script);
      const frame = document.createElement("iframe");
      frame.src = "/settings";
      document.body.append(frame);
      await new Promise((resolve) => setTimeout(resolve, 200));
      return [...outcomes, window.intruder ? "done" : "refused", frame.contentDocument?.forms.length ? "done" : "refused"];
    });
    assert.deepEqual(reached, Array(4).fill("refused"));
  });
});
