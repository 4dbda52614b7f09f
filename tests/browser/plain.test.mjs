// Without JavaScript everything works but placing marks: plain links, plain forms, the order of the work.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { enter, launch, sizes } from "./harness/browser.mjs";
import { picture } from "./harness/look.mjs";
import { press } from "./harness/press.mjs";
import { OpenNotebook, carrier } from "./harness/program.mjs";
import { bringIn, newFace, writeAs } from "./harness/start.mjs";
import { addHole, choose, damage, doNext, millFace, next, planCut, read, want } from "./harness/work.mjs";

// The phone's WebView always has JavaScript, and its shell needs it: a WebView hands over no form's content.
const skip = carrier === "phone" && "on the phone the shell's own script carries every form";

describe("without JavaScript", { skip }, () => {
  let browser, notebook, demo, page, facePath, holePath;
  const go = (path) => page.goto(new URL(path, notebook.address).href);
  before(async () => {
    browser = await launch();
    notebook = await OpenNotebook.fresh();
    ({ page } = await enter(browser, notebook, { ...sizes.phone, javaScriptEnabled: false }));
  });
  after(async () => {
    await browser?.close();
    await notebook?.remove();
    await demo?.remove();
  });

  test("a casting, its face, its photo and a hole come in by forms", async () => {
    await writeAs(page, "R. Sample");
    await newFace(page);
    facePath = new URL(page.url()).pathname;
    await planCut(page, "0.5");
    await bringIn(page, undefined, { script: false });
    await page.locator("noscript p", { hasText: "needs JavaScript" }).waitFor();
    assert.ok(await page.getByRole("img", { name: /Pump end/ }).isVisible());
    assert.equal(await page.getByRole("button", { name: "Mark", exact: true }).count(), 0, "no control that does nothing");
    await picture(page, "phone-plain-photo");
    await go(facePath);
    holePath = await addHole(page);
  });

  test("the hole goes from its readings to its proof", async () => {
    await read(page, { "Depth to the bottom": ["32", "depth gauge"], "Metal under the bottom": ["9", "caliper"] });
    await read(page, { "Centre to the nearest edge": ["22", "steel rule"], "Centre to the nearest hole": ["60", "caliper"] });
    await damage(page, { from: "0", to: "9", diameter: "12.5", off: "0.8" });
    await want(page, { thread: "3/8-16", bolt: "SAE J429 grade 5", through: "blind" });
    await choose(page, "Key-locking insert, heavy duty", "it holds more");
    for (let step = 0; step < 20; step += 1) {
      const coming = await next(page);
      if (coming.startsWith("Nothing")) break;
      if (coming === "Cut the face") await millFace(page, "0.5 mm");
      else assert.equal(await doNext(page), coming);
    }
    assert.equal(await next(page), "Nothing: this hole is proved");
    await picture(page, "phone-plain-hole");
  });

  test("an entry is struck", async () => {
    const line = page.locator(".journal > li", { hasText: "Proof by" }).first();
    await line.locator("summary", { hasText: "Strike" }).click();
    await line.getByLabel("Why it is wrong").fill("the gauge was the wrong one");
    await press(page, line.getByRole("button", { name: "Strike it" }));
    await page.locator(".journal .struck", { hasText: "Proof by" }).waitFor();
    assert.equal(await next(page), "Prove it");
  });

  test("the demo's photo shows every plate on its mark, each a link to its hole", async () => {
    demo = await OpenNotebook.fresh({ demo: true });
    const entered = await enter(browser, demo, { ...sizes.phone, javaScriptEnabled: false });
    const { page } = entered;
    for (const kind of ["casting", "face", "photo"]) await press(page, page.locator(`main a[href^='/${kind}/']`).first());
    const marks = await page.locator(".marks .mark").count();
    assert.ok(marks >= 14);
    await picture(page, "phone-plain-demo-photo");
    const image = await page.locator(".marked img").boundingBox();
    for (const plate of await page.locator(".marks .mark").all()) {
      const [x, y] = [await plate.getAttribute("data-x"), await plate.getAttribute("data-y")];
      const [wide, high] = [await page.locator(".marked img").getAttribute("width"), await page.locator(".marked img").getAttribute("height")];
      const box = await plate.locator(".disc").boundingBox();
      const off = Math.hypot(
        box.x + box.width / 2 - image.x - (x / wide) * image.width,
        box.y + box.height / 2 - image.y - (y / high) * image.height,
      );
      assert.ok(off < 1, `a plate lies ${off} px off its mark`);
    }
    await press(page, page.locator(".marks .mark").first());
    await page.getByRole("heading", { level: 1, name: /^Hole/ }).waitFor();
    await entered.context.close();
  });
});
