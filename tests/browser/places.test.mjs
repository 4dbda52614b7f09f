// From a marked photo to "the lost center of hole 8 is here, move the table X, Y", counted in taps;
// then from heights to the face cut. The photo and the figures are the sample's, and invented.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { launch, openPage, testedSizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { addFace, addPhoto, saveSettings } from "./harness/first-steps.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { sample, TestNotebook } from "./harness/program.mjs";

/** What the walk may cost. */
const MOST_TAPS = 20;
/** The hole whose center is lost: it is not marked. */
const LOST = 8;

const read = async (name) => JSON.parse(await readFile(join(sample, name), "utf8"));

/** A page whose taps are counted; a field that is typed into counts as one. */
class Taps {
  count = 0;

  constructor(page) {
    this.page = page;
  }

  async go(control) {
    this.count += 1;
    await clickAndLoad(this.page, control);
  }

  async tap(control) {
    this.count += 1;
    await control.click();
  }

  async type(control, text) {
    this.count += 1;
    await control.fill(text);
  }
}

for (const [size, options] of testedSizes) {
  describe(`places, ${size}`, () => {
    let browser, notebook, context, page, errors, facePath, photoPath, scenario;
    const go = (path) => page.goto(new URL(path, notebook.address).href);

    /** Sends a form from the open page, as a press of its button does. */
    const send = (path, fields) => page.evaluate(async ([path, fields]) => {
      const response = await fetch(path, { method: "POST", body: new URLSearchParams(fields) });
      return response.status;
    }, [path, fields]);

    before(async () => {
      browser = await launch();
      notebook = await TestNotebook.create();
      ({ context, page, errors } = await openPage(browser, notebook, options));
      await saveSettings(page, "R. Sample", { unit: "inches" });
      await addFace(page);
      facePath = new URL(page.url()).pathname;
      await addPhoto(page);
      photoPath = new URL(page.url()).pathname;
      scenario = await read("scenario.json");
      const { marks } = await read("marks.json");
      for (const { number, px, py } of marks) {
        if (number === LOST) await send(`${facePath}/hole`, { number: String(number) });
        else await send(`${photoPath}/mark`, { hole: "new", x_px: px, y_px: py });
      }
      await send(`${photoPath}/grade-rest`, {});
    });
    after(async () => {
      await context?.close();
      await browser?.close();
      await notebook?.remove();
    });

    test(`the lost center and the table moves take at most ${MOST_TAPS} taps`, async () => {
      await go(photoPath);
      const taps = new Taps(page);
      await taps.go(page.getByRole("link", { name: "Lost centers" }));
      await checkPage(page, `${size}-places-empty`);
      await taps.go(page.getByRole("link", { name: "Enter the pattern" }));
      await checkPage(page, `${size}-pattern-empty`);
      await taps.tap(page.getByText("By coordinates: drawing, sister part, gasket"));
      const lines = scenario.holes.map(({ number, x_mm, y_mm }) => `${number} ${x_mm}mm ${y_mm}mm`);
      await taps.type(page.getByLabel("Holes", { exact: true }), lines.join("\n"));
      await taps.go(page.locator("details[open]").getByRole("button", { name: "Save pattern" }));
      await page.getByText(new RegExp(`Hole ${LOST}: X`)).waitFor();
      await checkPage(page, `${size}-places`);
      await taps.go(page.getByRole("link", { name: "Table moves" }));
      await page.getByText(new RegExp(`Hole ${LOST}: X .*, Y `)).waitFor();
      console.log(`${size}: ${taps.count} taps to the table moves`);
      assert.ok(taps.count <= MOST_TAPS, `${taps.count} taps`);
      await checkPage(page, `${size}-moves-readout`);
      assert.deepEqual(errors, []);
    });

    test("the predicted center is where the renderer put the hole", async () => {
      await go(`${facePath}/places`);
      const { marks } = await read("marks.json");
      const truth = marks.find(({ number }) => number === LOST);
      const circle = page.locator(`svg.centers [data-hole="${LOST}"] circle`).first();
      const [x, y, radius] = await circle.evaluate((it) => ["cx", "cy", "r"].map((name) => Number(it.getAttribute(name))));
      const miss = Math.hypot(x - truth.px, y - truth.py);
      assert.ok(miss <= radius, `${miss} px off, and the circle has ${radius}`);
    });

    test("handwheel turns follow once the mill is set up", async () => {
      await go(`${facePath}/moves`);
      await page.getByText("The mill", { exact: true }).click();
      for (const axis of ["X", "Y"]) {
        const fields = page.getByRole("group", { name: `${axis} handwheel` });
        await fields.getByLabel(/^Travel in one turn/).fill(".2");
        await fields.getByLabel(/^Divisions/).fill("200");
        await fields.getByLabel(/^Backlash/).fill(".015");
      }
      await clickAndLoad(page, page.getByRole("button", { name: "Save mill" }));
      await page.getByText(/X handwheel: .* stop at/).first().waitFor();
      await checkPage(page, `${size}-moves`);
      const csv = await page.getByRole("link", { name: "CSV of the moves" }).getAttribute("href");
      const text = await page.evaluate(async (href) => (await fetch(href)).text(), csv);
      assert.match(text, /^hole,x_in,y_in/);
    });

    test("a wrong pattern is refused beside its field", async () => {
      await go(`${facePath}/pattern`);
      await page.getByText("Around a circle").click();
      const form = page.locator("form[action$='/circle']");
      await form.getByLabel(/^How many holes/).fill("1");
      await form.getByLabel(/^Circle across/).fill("8");
      await clickAndLoad(page, form.getByRole("button", { name: "Save pattern" }));
      await page.getByRole("alert").filter({ hasText: "2 to 1000" }).waitFor();
      assert.equal(await form.getByLabel(/^Circle across/).inputValue(), "8");
      await checkPage(page, `${size}-pattern-refused`);
    });

    test("the least face cut becomes the plan in one tap", async () => {
      await go(`${facePath}/heights`);
      const lines = scenario.face.flatness_points.map((at) => `${at.x_mm}mm ${at.y_mm}mm ${at.z_mm}mm`);
      await page.getByLabel(/^Height readings/).fill(lines.join("\n"));
      await page.getByLabel(/^Tolerance ± of each/).fill(".0005");
      await clickAndLoad(page, page.getByRole("button", { name: "Save readings" }));
      await page.getByRole("heading", { name: "Least face cut" }).waitFor();
      await checkPage(page, `${size}-heights`);
      await clickAndLoad(page, page.getByRole("button", { name: /^Plan .* as the face cut/ }));
      await page.getByText("Face cut planned.").first().waitFor();
      await checkPage(page, `${size}-face-with-places`, { folds: false });
      assert.deepEqual(errors.filter((error) => !/422/.test(error)), []);
    });

    test("the photo is straightened, and the heights are drawn on it", async () => {
      await go(`${facePath}/heights`);
      assert.ok(await page.locator("figure.photo svg.centers path").count() > 0, "no line on the photo");
      await go(`${photoPath}/straight`);
      const picture = page.locator("figure.photo img");
      await picture.waitFor();
      const [width, height, loaded] = await picture.evaluate(async (it) => {
        await it.decode();
        return [it.naturalWidth, it.naturalHeight, it.complete];
      });
      const shape = await picture.evaluate((it) => it.width / it.height);
      assert.ok(loaded && width > 600 && Math.abs(width / height - shape) < 0.02, `${width} by ${height}, shown ${shape}`);
      await checkPage(page, `${size}-straightened`);
    });

    test("a crater is traced on the photo and recorded with its depth", async () => {
      const { marks } = await read("marks.json");
      await go(facePath);
      const hole = page.locator("main a[href^='/hole/']").first();
      const path = await hole.getAttribute("href");
      await go(`${path}/outline`);
      await checkPage(page, `${size}-trace`);
      const box = await page.locator("svg.trace").boundingBox();
      const [x, y, radius] = [box.x + box.width / 2, box.y + box.height / 2, box.width / 4];
      await page.mouse.move(x + radius, y);
      await page.mouse.down();
      for (let at = 1; at <= 30; at += 1) {
        const angle = (2 * Math.PI * at) / 31;
        await page.mouse.move(x + radius * Math.cos(angle), y + radius * Math.sin(angle));
      }
      await Promise.all([page.waitForURL(/traced=/), page.mouse.up()]);
      await page.getByText("The crater as traced").waitFor();
      await checkPage(page, `${size}-traced`);
      // The picture's side is .12 of the photo's longer side, and a pixel there is known from the sample.
      const across = await page.locator("dt:has-text('Across') + dd b").textContent();
      const { px: ax, py: ay } = marks[0];
      const { px: bx, py: by } = marks[1];
      const [a, b] = scenario.holes;
      const mmAPixel = Math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm) / Math.hypot(ax - bx, ay - by);
      const wanted = (0.06 * 2400 * mmAPixel) / 25.4;
      assert.ok(Math.abs(Number.parseFloat(across) / wanted - 1) < 0.15, `${across}, not about ${wanted} in`);
      await page.getByLabel(/^Crater depth/).fill(".25");
      await clickAndLoad(page, page.getByRole("button", { name: "Record the crater" }));
      assert.equal(new URL(page.url()).pathname, path);
      await page.getByText(/Damage/).first().waitFor();
    });

    test("a known point is pressed in the photo", async () => {
      await go(`${photoPath}/points`);
      await page.getByLabel(/^X of the point/).fill("1.5");
      await page.getByLabel(/^Y of the point/).fill("2");
      await clickAndLoad(page, page.locator(".plain-picture input"));
      await page.getByText("1: X 1.500 in, Y 2.000 in").waitFor();
      await checkPage(page, `${size}-known-points`);
    });
  });
}
