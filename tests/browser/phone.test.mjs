// What only the phone does: Android ends the app at any moment, volume keys step between holes,
// other apps share photos, and the WebView reaches no other host.

import assert from "node:assert/strict";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { launch, openPage, sizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { addFace, saveSettings } from "./harness/first-steps.mjs";
import { addHole, openFold } from "./harness/hole-page.mjs";
import { clickAndFinish, clickAndLoad } from "./harness/navigate.mjs";
import { bringIntoView, distance, markPosition, pointer } from "./harness/photo.mjs";
import { carrier, run, sample, TestNotebook } from "./harness/program.mjs";

const skip = carrier !== "phone" && "HOLEBOOK_CARRIER=phone runs these";

describe("the phone", { skip }, () => {
  let browser, notebook, shop, bundle, context, page, errors, facePath, holePaths;
  const go = (path) => page.goto(new URL(path, notebook.address).href);
  const path = () => new URL(page.url()).pathname;
  const reading = () => page.getByRole("group", { name: "Hole depth" }).getByLabel(/^Reading/);

  /** Kills the app and opens it again at the page that showed, as Android does. */
  const restart = async () => {
    const shown = page.url();
    const state = await notebook.phone.kill();
    await context.close();
    await notebook.phone.launch(notebook.folder);
    await notebook.phone.call("restore", {}, state);
    ({ context, page, errors } = await openPage(browser, notebook, sizes.phone));
    await page.goto(shown);
  };

  before(async () => {
    browser = await launch();
    notebook = await TestNotebook.create();
    shop = await TestNotebook.create({ demo: true, on: "shop" });
    ({ context, page, errors } = await openPage(browser, notebook, sizes.phone));
    await saveSettings(page, "R. Sample");
    await addFace(page);
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

  test("a half-typed reading is still there after Android has killed the app", async () => {
    await go(holePaths[0]);
    await openFold(page, "Add measurements");
    await reading().fill("31.7");
    await page.getByLabel("Note").fill("oil in the bottom");
    await notebook.phone.waitForDraft("oil in the bottom");
    await restart();
    await page.getByRole("status").filter({ hasText: "still here" }).waitFor();
    assert.equal(await reading().inputValue(), "31.7");
    assert.ok(await reading().isVisible(), "its fold is open");
    assert.equal(await page.getByLabel("Note").inputValue(), "oil in the bottom");
    assert.equal(await page.locator(".journal").getByText("31.7").count(), 0, "it is not recorded");
    await checkPage(page, "phone-typed-still-here", { folds: false });
  });

  test("what is recorded leaves the draft, the rest stays in it", async () => {
    await clickAndLoad(page, page.getByRole("button", { name: "Record measurements" }));
    await page.getByText("Measurements recorded.").waitFor();
    await page.getByRole("status").filter({ hasText: "still here" }).waitFor();
    assert.equal(await page.getByLabel("Note").inputValue(), "oil in the bottom");
    await openFold(page, "Add measurements");
    assert.equal(await reading().inputValue(), "");
    await page.getByLabel("Note").fill("");
    await notebook.phone.waitForDraft("oil in the bottom", false);
    await restart();
    assert.equal(await page.getByRole("status").filter({ hasText: "still here" }).count(), 0);
  });

  test("a rejected form keeps what was typed after the app was killed", async () => {
    await go(holePaths[1]);
    await openFold(page, "Add measurements");
    await reading().fill("31,7,1");
    await clickAndLoad(page, page.getByRole("button", { name: "Record measurements" }));
    await page.getByRole("alert").waitFor();
    await notebook.phone.waitForDraft("31,7,1");
    assert.equal(path(), `${holePaths[1]}/reading`);
    await restart();
    await page.waitForURL(new URL(holePaths[1], notebook.address).href);
    await page.getByRole("status").filter({ hasText: "still here" }).waitFor();
    assert.equal(await reading().inputValue(), "31,7,1");
    await reading().fill("31.8");
    await clickAndLoad(page, page.getByRole("button", { name: "Record measurements" }));
    await page.getByText("Measurements recorded.").waitFor();
    assert.equal(await page.getByRole("status").filter({ hasText: "still here" }).count(), 0);
  });

  test("the volume keys step between holes, and what was typed stays with its hole", async () => {
    await go(holePaths[1]);
    await openFold(page, "Add measurements");
    await reading().fill("12");
    await notebook.phone.waitForDraft('\\"12\\"');
    await notebook.phone.pressVolumeKey(page, "down");
    await page.getByRole("heading", { level: 1, name: "Hole 3" }).waitFor();
    await notebook.phone.pressVolumeKey(page, "up");
    await page.getByRole("heading", { level: 1, name: "Hole 2" }).waitFor();
    await page.getByRole("status").filter({ hasText: "still here" }).waitFor();
    assert.equal(await reading().inputValue(), "12");
    await notebook.phone.pressVolumeKey(page, "up");
    await page.getByRole("heading", { level: 1, name: "Hole 1" }).waitFor();
    await notebook.phone.pressVolumeKey(page, "up");
    assert.equal(path(), holePaths[0], "there is no hole before the first");
  });

  test("a second press of a button does not record twice", async () => {
    await go(facePath);
    // Both presses before the reply to the first.
    const twice = { click: () => page.getByRole("button", { name: "Add hole" }).evaluate((button) => [button.click(), button.click()]) };
    await clickAndLoad(page, twice);
    assert.match(path(), /^\/hole\//);
    await go(facePath);
    assert.equal(await page.locator(".holes a[href^='/hole/']").count(), 4);
  });

  test("photos shared by another app wait on every page and are added on a face", async () => {
    await notebook.phone.share(join(sample, "../screens/face.jpg")); // not the photo that the sample's notebook has
    await go("/");
    await page.getByText("1 shared photo is waiting.").waitFor();
    await checkPage(page, "phone-shared-waiting");
    await go(facePath);
    await checkPage(page, "phone-shared-face");
    await clickAndLoad(page, page.getByRole("button", { name: "Add it here" }));
    await page.waitForURL(/\/photo\//);
    await page.getByLabel("Next mark").waitFor();
    assert.equal(await page.getByText("is waiting").count(), 0);
  });

  test("photos of one hole come first on its page, one shared and one chosen, and its mark moves", async () => {
    await notebook.phone.share(join(sample, "../screens/hole.jpg"));
    await go(holePaths[0]);
    await clickAndLoad(page, page.getByRole("button", { name: "Add it to this hole" }));
    assert.equal(path(), holePaths[0]);
    await openFold(page, "Add a photo of this hole");
    await page.getByLabel(/^Photo \(JPEG or PNG\)/).setInputFiles(join(sample, "../screens/conflict.jpg"));
    await clickAndLoad(page, page.getByRole("button", { name: "Add photo of the hole" }));
    await page.locator("summary[aria-label^='Hole 1 in the photo']").waitFor();
    const gallery = page.locator(".hole-photos img");
    assert.equal(await gallery.count(), 2);
    for (const picture of await gallery.all()) {
      await picture.scrollIntoViewIfNeeded();
      await picture.evaluate((image) => image.decode());
    }
    await checkPage(page, "phone-hole-photos");
    await clickAndLoad(page, page.locator(".hole-photos a").first());
    await page.getByRole("heading", { level: 1, name: /^Photo of hole 1, / }).waitFor();
    await page.getByLabel("Next mark").waitFor();
    await checkPage(page, "phone-photo-of-hole");
    const wanted = (await markPosition(page, 1)).map((at) => 0.8 * at);
    await pointer(page, context, sizes.phone).hold([await bringIntoView(page, wanted)]);
    await page.locator(".status", { hasText: "Hole 1 moved to" }).waitFor();
    assert.ok(distance(await markPosition(page, 1), wanted) < 20, "the mark moved");
    await clickAndLoad(page, page.getByRole("link", { name: "Hole 1", exact: true }).first());
    assert.equal(path(), holePaths[0]);
  });

  test("the job sheet can be shared and printed, and the bolt-up sheet for dry bolts", async () => {
    await go(`${facePath}/sheet`);
    await checkPage(page, "phone-sheet");
    await clickAndLoad(page, page.getByRole("button", { name: "Share this sheet" }));
    await clickAndLoad(page, page.getByRole("button", { name: /^Print/ }));
    await page.getByLabel("Bolts:").selectOption("plain steel, dry");
    await clickAndLoad(page, page.getByRole("button", { name: "Bolt-up (PDF)" }));
    const face = facePath.replace("/face/", "");
    assert.equal(await notebook.phone.call("actions"), `share ${face}\nprint\nshare bolt-up dry ${face}`);
    assert.equal(path(), `${facePath}/sheet`);
  });

  test("what is not synced yet shows on every page, with a link to sync", async () => {
    await go(facePath);
    const photoPath = await page.locator("a[href^='/photo/']").first().getAttribute("href");
    for (const where of ["/", "/settings", "/bench", "/sync", "/pair", facePath, photoPath, `${facePath}/sheet`, holePaths[0]]) {
      await go(where);
      await page.getByRole("link", { name: /^Sync: ⇧?\s*\d+ not synced yet$/ }).waitFor();
    }
    await clickAndLoad(page, page.getByRole("link", { name: /not synced yet$/ }));
    await page.getByText(/\d+ entries.* on this device only.*If you lose the device, you lose them/).waitFor();
    await checkPage(page, "phone-sync");
  });

  test("a pairing link fills in the code; pairing takes a tap", async () => {
    const atShop = await openPage(browser, shop, sizes.desktop);
    await atShop.page.goto(new URL("/pair", shop.address).href);
    await clickAndLoad(atShop.page, atShop.page.getByRole("button", { name: "Make a pairing code" }));
    const link = await atShop.page.locator(".pairing-link code").textContent();
    await go(await notebook.phone.call("link-page", { link }));
    await page.getByText("This code came from a link.").waitFor();
    assert.equal(await page.getByLabel(/Pairing code or link/).inputValue(), link);
    await checkPage(page, "phone-pairing-link");
    await go("/sync");
    assert.equal(await page.getByRole("heading", { name: /^The shop computer/ }).count(), 0, "opening the page does not pair");
    await go(await notebook.phone.call("link-page", { link }));
    await clickAndLoad(page, page.getByRole("button", { name: "Pair", exact: true }));
    await page.getByRole("heading", { name: /^The shop computer/ }).waitFor();
    await atShop.context.close();
    await checkPage(page, "phone-paired");
    await go(await notebook.phone.call("link-page", { link: "holebook://pair" }));
    await page.getByText("contains no pairing code").waitFor();
    await checkPage(page, "phone-no-code");
  });

  test("sync with a shop computer transfers both ways", async () => {
    await go("/sync");
    await clickAndFinish(page, page.getByRole("button", { name: "Sync now" }));
    await page.getByText(/Received \d+ entries and 1 photo; sent \d+ entries and 3 photos/).first().waitFor();
    await checkPage(page, "phone-synced");
    await go(holePaths[0]);
    assert.equal(await page.getByText("not synced yet").count(), 0);
    await go("/");
    await page.getByRole("link", { name: "Water jacket", exact: true }).waitFor();
    const list = JSON.parse((await run("list", "--json", "--notebook", shop.folder)).stdout);
    assert.ok(list.castings.length > 1, "the shop computer has the phone's casting beside its own");
  });

  test("a shop computer that is off is reported, and what was recorded stays", async () => {
    await shop.close();
    await go(facePath);
    await addHole(page);
    await go("/sync");
    await clickAndFinish(page, page.getByRole("button", { name: "Sync now" }));
    await page.getByRole("alert").filter({ hasText: "reached" }).waitFor();
    await checkPage(page, "phone-not-reached");
    await page.getByRole("link", { name: /1 not synced yet$/ }).waitFor();
  });

  test("a bundle can be shared with other apps", async () => {
    await page.getByLabel("Whole notebook").check();
    await clickAndFinish(page, page.getByRole("button", { name: "Export bundle" }));
    await page.getByRole("link", { name: "Save or share the bundle" }).waitFor();
    await checkPage(page, "phone-bundle-exported");
    await clickAndLoad(page, page.getByRole("link", { name: "Save or share the bundle" }));
    const actions = await notebook.phone.call("actions");
    bundle = actions.split("\n").find((line) => line.startsWith("bundle ")).slice("bundle ".length);
    assert.match(bundle, /\.zip$/);
    assert.equal(path(), "/sync");
  });

  test("a bundle that another app shared waits on every page until it is imported", async () => {
    const other = await TestNotebook.create();
    const { context, page, errors } = await openPage(browser, other, sizes.phone);
    try {
      const go = (path) => page.goto(new URL(path, other.address).href);
      await other.phone.share(bundle);
      await go("/");
      await page.getByText(/Shared bundle .*\.zip .* is waiting/).waitFor();
      await checkPage(page, "phone-bundle-waiting");
      await clickAndLoad(page, page.getByRole("link", { name: "Go to Sync" }));
      await checkPage(page, "phone-bundle-import");
      await clickAndFinish(page, page.getByRole("button", { name: "Import it" }));
      await page.getByText(/Imported \d+ entries/).first().waitFor();
      assert.equal(await page.getByText("is waiting").count(), 0);
      // The same bundle by the file chooser: nothing in it is new.
      await page.getByLabel("Bundle (.zip file)").setInputFiles(bundle);
      await clickAndFinish(page, page.getByRole("button", { name: "Import bundle" }));
      await page.getByText("Nothing in it was new.").waitFor();
      // Not a bundle: one sentence, and nothing changes.
      await page.getByLabel("Bundle (.zip file)").setInputFiles(join(sample, "joint-face.jpg"));
      await clickAndFinish(page, page.getByRole("button", { name: "Import bundle" }));
      await page.getByRole("alert").filter({ hasText: "joint-face.jpg" }).waitFor();
      await checkPage(page, "phone-not-a-bundle");
      assert.deepEqual(errors, []);
    } finally {
      await context.close();
      await other.remove();
    }
  });

  test("by cable: what is on the phone only is sent to the folder", async () => {
    await go("/sync");
    await checkPage(page, "phone-cable");
    await clickAndFinish(page, page.getByRole("button", { name: "Sync with the cable folder" }));
    await page.getByText(/sent \d+ entries and \d+ photos?/).first().waitFor();
    await go(holePaths[0]);
    assert.equal(await page.getByText("not synced yet").count(), 0);
    // The shop computer pulls it from there.
    const { stdout } = await run("sync", "--json", "--folder", join(notebook.phone.folder, "files/sync"), "--notebook", join(notebook.phone.folder, "shop"));
    assert.ok(JSON.parse(stdout).entries_pulled > 5, stdout);
    assert.deepEqual(errors, []);
  });

  test("a page reaches no other host and runs no other script", async () => {
    await go("/");
    const reached = await page.evaluate(async () => {
      const tries = [() => fetch("https://example.org/"), () => fetch("http://127.0.0.1/")];
      const outcomes = [];
      for (const attempt of tries) outcomes.push(await Promise.resolve().then(attempt).then(() => "done", () => "blocked"));
      const script = document.createElement("script");
      script.textContent = "window.intruder = true";
      document.body.append(script);
      const frame = document.createElement("iframe");
      frame.src = "/settings";
      document.body.append(frame);
      await new Promise((resolve) => setTimeout(resolve, 200));
      return [...outcomes, window.intruder ? "done" : "blocked", frame.contentDocument?.forms.length ? "done" : "blocked"];
    });
    assert.deepEqual(reached, Array(4).fill("blocked"));
  });
});
