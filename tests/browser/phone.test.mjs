// What only the phone does: Android ends the app at any moment, keys for gloved hands, photos shared by other apps,
// and a WebView that reaches nobody.

import assert from "node:assert/strict";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { enter, launch, sizes } from "./harness/browser.mjs";
import { look } from "./harness/look.mjs";
import { OpenNotebook, carrier, run, sample } from "./harness/program.mjs";
import { newFace, writeAs } from "./harness/start.mjs";
import { addHole, fold } from "./harness/work.mjs";

const skip = carrier !== "phone" && "HOLEBOOK_CARRIER=phone runs these";

describe("the phone", { skip }, () => {
  let browser, notebook, context, page, faults, facePath, holePaths;
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
  });

  test("a half-typed reading is still there after Android has ended the app", async () => {
    await go(holePaths[0]);
    await fold(page, "Write down readings");
    await reading().fill("31.7");
    await page.getByLabel("A note").fill("oil in the bottom");
    await page.waitForTimeout(400); // the page tells the shell a moment after the last key
    await restart();
    await page.getByRole("status").filter({ hasText: "still here" }).waitFor();
    assert.equal(await reading().inputValue(), "31.7");
    assert.ok(await reading().isVisible(), "its fold is open");
    assert.equal(await page.getByLabel("A note").inputValue(), "oil in the bottom");
    assert.equal(await page.locator(".journal").getByText("31.7").count(), 0, "and it is not recorded");
    await look(page, "phone-typed-still-here", { folds: false });
  });

  test("what is recorded is no longer kept as typed, what stands beside it is", async () => {
    await page.getByRole("button", { name: "Record the readings" }).click();
    await page.getByText("Readings recorded.").waitFor();
    await page.getByRole("status").filter({ hasText: "still here" }).waitFor();
    assert.equal(await page.getByLabel("A note").inputValue(), "oil in the bottom");
    await fold(page, "Write down readings");
    assert.equal(await reading().inputValue(), "");
    await page.getByLabel("A note").fill("");
    await page.waitForTimeout(400);
    await restart();
    assert.equal(await page.getByRole("status").filter({ hasText: "still here" }).count(), 0);
  });

  test("a form that was refused keeps what was typed after the app has ended", async () => {
    await go(holePaths[1]);
    await fold(page, "Write down readings");
    await reading().fill("31,7,1");
    await page.getByRole("button", { name: "Record the readings" }).click();
    await page.getByRole("alert").waitFor();
    await page.waitForTimeout(400);
    assert.equal(path(), `${holePaths[1]}/reading`);
    await restart();
    await page.waitForURL(new URL(holePaths[1], notebook.address).href);
    await page.getByRole("status").filter({ hasText: "still here" }).waitFor();
    assert.equal(await reading().inputValue(), "31,7,1");
    await reading().fill("31.8");
    await page.getByRole("button", { name: "Record the readings" }).click();
    await page.getByText("Readings recorded.").waitFor();
    assert.equal(await page.getByRole("status").filter({ hasText: "still here" }).count(), 0);
  });

  test("the volume keys step between holes, and what was typed waits where it was", async () => {
    await go(holePaths[1]);
    await fold(page, "Write down readings");
    await reading().fill("12");
    await page.waitForTimeout(400);
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
    await page.getByRole("button", { name: "Add the hole" }).dblclick();
    await page.waitForURL(/\/hole\//);
    await go(facePath);
    assert.equal(await page.locator(".holes a[href^='/hole/']").count(), 4);
  });

  test("photos shared by another app wait on every page and come in on their face", async () => {
    await notebook.phone.share(join(sample, "joint-face.jpg"));
    await go("/");
    await page.getByText("One photo that was shared waits to be brought in.").waitFor();
    await look(page, "phone-shared-waits");
    await go(facePath);
    await look(page, "phone-shared-face");
    await page.getByRole("button", { name: "Bring it in here" }).click();
    await page.waitForURL(/\/photo\//);
    await page.getByRole("button", { name: "Mark", exact: true }).waitFor();
    assert.equal(await page.getByText("was shared").count(), 0);
  });

  test("the sheet goes to other apps, and to the phone's print window", async () => {
    await go(`${facePath}/sheet`);
    await look(page, "phone-sheet");
    await page.getByRole("button", { name: "Share this sheet" }).click();
    await page.getByRole("button", { name: /^Print/ }).click();
    await page.waitForLoadState();
    const face = facePath.replace("/face/", "");
    assert.equal(await notebook.phone.ask("asked"), `share ${face}\nprint`);
    assert.equal(path(), `${facePath}/sheet`);
  });

  test("what the phone alone has stands on every page, until it was left in the folder", async () => {
    await go(holePaths[0]);
    await page.getByRole("link", { name: /^\d+ not home$/ }).click();
    await page.getByText(/\d+ entries are on this phone alone/).waitFor();
    await look(page, "phone-bring-home");
    await page.getByRole("button", { name: "Exchange with the folder" }).click();
    await page.getByText(/Left \d+ entries and 1 photos in the folder/).waitFor();
    await look(page, "phone-brought-home");
    await go(holePaths[0]);
    assert.equal(await page.getByText("not home").count(), 0);
    // The shop computer takes it from there.
    const { stdout } = await run("exchange", "--json", "--folder", join(notebook.phone.folder, "files/shelf"), "--notebook", join(notebook.phone.folder, "shop"));
    assert.ok(JSON.parse(stdout).entries_taken > 5, stdout);
  });

  test("a pairing link says what this version can do", async () => {
    await go("/shell/pair");
    await page.getByText("This version cannot pair with a shop computer yet").waitFor();
    await look(page, "phone-pair");
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
