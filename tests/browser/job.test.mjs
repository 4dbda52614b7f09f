// The job from the first look to the final check, by touch on a phone and by mouse at a desktop.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { launch, openPage, testedSizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { addFace, addPhoto, saveSettings } from "./harness/first-steps.mjs";
import { addMeasurements, answerQuestions, chooseRemedy, describeDamage, nextStep, openFold, planFaceCut, recordFaceCut, recordNextStep, setThread } from "./harness/hole-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { bringIntoView, distance, markPosition, pointer } from "./harness/photo.mjs";
import { carrier, sample, TestNotebook } from "./harness/program.mjs";

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

/** A hole whose thread is gone for a third of its depth. */
const READINGS = {
  "Hole depth": ["32", "depth gauge"],
  "Floor thickness": ["9", "caliper"],
  "Edge distance": ["22", "steel rule"],
  "Nearest hole": ["60", "caliper"],
};
const DAMAGE = { from: "0", to: "9", diameter: "12.5", offset: "0.8" };
const WANTED = { thread: "3/8-16", bolt: "SAE J429 grade 5", through: "blind" };
const REMEDY = "Key-locking insert, heavy duty";

for (const [size, options] of testedSizes) {
  describe(`the job, ${size}`, () => {
    let notebook, context, page, errors, pointing, facePath, photoPath, holes;
    const go = (path) => page.goto(new URL(path, notebook.address).href);
    before(async () => {
      notebook = await TestNotebook.create();
      ({ context, page, errors } = await openPage(browser, notebook, options));
      pointing = pointer(page, context, options);
      const marks = JSON.parse(await readFile(join(sample, "marks.json"), "utf8")).marks;
      holes = marks.map(({ px, py }) => [px, py]);
    });
    after(async () => {
      await context?.close();
      await notebook?.remove();
    });

    test("an empty notebook says what to do first", async () => {
      await checkPage(page, `${size}-01-castings-empty`);
      await saveSettings(page, "R. Sample");
      await go("/settings");
      await checkPage(page, `${size}-02-settings`);
    });

    test("a casting, its face, and the planned face cut", async () => {
      await addFace(page, { casting: "Sample engine, water jacket", face: "Pump-end cover joint" });
      facePath = new URL(page.url()).pathname;
      await checkPage(page, `${size}-03-face-empty`);
      await planFaceCut(page, "0.5");
      await page.locator("dl.facts", { hasText: "Stock to remove" }).getByText("0.5 mm").first().waitFor();
    });

    test("every hole of the photo is marked, one after the other", async () => {
      await addPhoto(page);
      photoPath = new URL(page.url()).pathname;
      for (const [index, place] of holes.entries()) {
        await pointing.hold([await bringIntoView(page, place)]);
        await page.locator(`.mark[aria-label^="Hole ${index + 1},"]`).waitFor();
        const box = await page.locator(".marked").boundingBox();
        assert.ok(distance(await markPosition(page, index + 1), place) < (0.75 * 1800) / box.width);
      }
      assert.equal(await page.locator(".mark").count(), 14);
      await checkPage(page, `${size}-04-photo-marked`);
    });

    test("a hole is measured, its damage described and its thread set", async () => {
      await go(photoPath);
      await clickAndLoad(page, page.locator(".mark-list a.grow", { hasText: "Hole 4" }));
      await page.getByRole("heading", { level: 1, name: "Hole 4" }).waitFor();
      assert.equal(await nextStep(page), "Which bolt goes in?");
      await checkPage(page, `${size}-05-hole-not-measured`);
      await setThread(page, WANTED);
      assert.equal(await nextStep(page), "What is wrong with it?");
      await describeDamage(page, DAMAGE);
      assert.equal(await nextStep(page), "Measure the depth of the hole");
      await addMeasurements(page, READINGS);
      assert.equal(await nextStep(page), "Choose a remedy");
    });

    test("a wrong reading is struck out with a reason and stays readable", async () => {
      await addMeasurements(page, { "Edge distance": ["2.2", "steel rule"] });
      assert.match(await page.locator(".question").innerText(), /break out of the edge/);
      await answerQuestions(page);
      const line = page.locator(".journal > li", { hasText: "2.2 mm" }).first();
      assert.equal(await nextStep(page), "Resolve conflict", "readings that disagree are a conflict");
      await line.locator("summary", { hasText: "Strike out" }).click();
      await line.getByLabel("Reason").fill("measured in centimeters");
      await clickAndLoad(page, line.getByRole("button", { name: "Strike out" }));
      await page.locator(".journal > li", { hasText: "measured in centimeters" }).first().waitFor();
      await page.locator(".journal .struck-out", { hasText: "2.2 mm" }).waitFor();
      assert.equal(await nextStep(page), "Choose a remedy");
    });

    test("the remedies are compared with their reasons, and one is chosen", async () => {
      const cards = page.locator("article.remedy-card");
      assert.ok((await cards.count()) >= 4);
      for (const card of await cards.all()) {
        if (!(await card.isVisible())) continue;
        assert.match(await card.locator(".verdict").innerText(), /Fits|Marginal|Does not fit|Unknown/);
      }
      await checkPage(page, `${size}-06-hole-remedies`);
      await chooseRemedy(page, REMEDY, "it holds more than the thin wall");
      await page.getByText("Reason: it holds more than the thin wall", { exact: true }).waitFor();
    });

    test("installing before the face cut asks for a reason first", async () => {
      const step = page.locator(".steps > li", { hasText: "Install the insert" });
      await step.locator("summary", { hasText: /record$/ }).click();
      await step.getByLabel(/^Top below face/).fill("1");
      await clickAndLoad(page, step.getByRole("button", { name: "Record as installed" }));
      const alert = page.getByRole("alert");
      await alert.waitFor();
      assert.match(await alert.innerText(), /Nothing was recorded/);
      await checkPage(page, `${size}-07-install-rejected`);
      await page.goto(page.url().replace(/\/install$/, ""));
      assert.equal(await page.locator(".journal > li", { hasText: /^Installed/ }).count(), 0);
    });

    test("the steps go from the end mill to the final check, with the face cut before the insert is installed", async () => {
      const done = [];
      for (let count = 0; count < 20; count += 1) {
        const step = await nextStep(page);
        if (step.startsWith("Done")) break;
        if (step === "Cut the face") {
          await checkPage(page, `${size}-08-hole-trial-fitted`);
          await recordFaceCut(page, "0.5 mm");
        } else {
          assert.equal(await recordNextStep(page), step);
          assert.equal(await page.getByRole("alert").count(), 0);
        }
        done.push(step);
      }
      const order = [/end mill/, /^Drill/, /^Tap/, /^Trial-fit the insert/, /^Cut the face/, /^Install the insert/, /keys/, /straightedge/, /^Final check/];
      const places = order.map((title) => done.findIndex((step) => title.test(step)));
      assert.ok(!places.includes(-1), done.join("; "));
      assert.deepEqual(places, [...places].sort((a, b) => a - b), done.join("; "));
      assert.equal(await nextStep(page), "Done. Passed.");
      const reached = await page.locator(".hole-header .stages li.reached").allInnerTexts();
      assert.match(reached.join(" "), /passed/);
      await checkPage(page, `${size}-09-hole-passed`);
    });

    test("another hole is done before the face cut, with its reason in the log", async () => {
      await go(facePath);
      await planFaceCut(page, "1.5");
      await clickAndLoad(page, page.getByRole("link", { name: /^Hole 5 / }));
      await addMeasurements(page, READINGS);
      await describeDamage(page, DAMAGE);
      await setThread(page, WANTED);
      await chooseRemedy(page, REMEDY, "like its neighbor");
      while (!(await nextStep(page)).startsWith("Cut the face")) await recordNextStep(page);
      const step = page.locator(".steps > li", { hasText: "Install the insert" });
      await step.locator("summary", { hasText: /record$/ }).click();
      await step.getByLabel("Reason for doing it now").fill("carries the drill plate");
      await step.getByLabel(/^Top below face/).fill("1.5");
      await clickAndLoad(page, step.getByRole("button", { name: "Record as installed" }));
      await page.locator(".journal > li", { hasText: "carries the drill plate" }).first().waitFor();
      await checkPage(page, `${size}-10-hole-installed-early`);
    });

    test("the face, the castings and the photo show the stages", async () => {
      await go(facePath);
      // A deeper cut is planned now, so nothing on the face has passed until it is made or ruled out.
      await page.getByRole("link", { name: /^Hole 4 .*open problem/ }).waitFor();
      await planFaceCut(page, "0.5");
      await page.getByRole("link", { name: /^Hole 4 .*passed/ }).waitFor();
      await checkPage(page, `${size}-11-face`);
      await go("/");
      await checkPage(page, `${size}-12-castings`);
      await clickAndLoad(page, page.getByRole("link", { name: "Sample engine, water jacket", exact: true }));
      await checkPage(page, `${size}-13-casting`);
      await go(photoPath);
      assert.equal(await page.locator('.mark[aria-label="Hole 4, passed"]').count(), 1);
      await checkPage(page, `${size}-14-photo`);
    });

    test("a drill that cut holes wears until it is new", async () => {
      await go("/drawer/wear");
      await checkPage(page, `${size}-tool-wear`);
      const renew = page.getByRole("button", { name: /^New or sharpened/ });
      const tools = await renew.count();
      assert.ok(tools > 0);
      await clickAndLoad(page, renew.first());
      await page.getByText("The holes that it cut so far no longer count.").first().waitFor();
      assert.equal(await renew.count(), tools - 1);
    });

    test("the job sheet has the marked photo and the holes, and leads to the record and to PDF", async () => {
      await go(`${facePath}/sheet`);
      assert.equal(await page.locator(".marked .marks > *").count(), 14);
      await page.locator("main", { hasText: "passed" }).waitFor();
      await checkPage(page, `${size}-15-sheet`);
      if (size === "phone") return; // paper is wider than a phone
      await page.emulateMedia({ media: "print" });
      await checkPage(page, `${size}-16-sheet-print`);
      await page.emulateMedia({ media: "screen" });
      for (const kind of ["Work sheet", "Record", "Template, true scale", "Crate label"]) {
        const link = page.getByRole("link", { name: new RegExp(`^${kind} \\(PDF`) }).first();
        if (carrier === "phone") {
          assert.equal(await link.count(), 0);
          continue;
        }
        const [type, start] = await link.evaluate(async (link) => {
          const response = await fetch(link.href);
          return [response.headers.get("content-type"), (await response.text()).slice(0, 5)];
        });
        assert.deepEqual([type, start], ["application/pdf", "%PDF-"]);
      }
      await clickAndLoad(page, page.getByRole("link", { name: "Record, to read here" }));
      await page.getByText("depth gauge").first().waitFor();
      await checkPage(page, `${size}-17-record`);
    });

    test("every page passes the checks in dark too", async () => {
      await page.emulateMedia({ colorScheme: "dark" });
      for (const [name, path] of [["castings", "/"], ["face", facePath], ["photo", photoPath], ["settings", "/settings"]]) {
        await go(path);
        await checkPage(page, `${size}-dark-${name}`);
      }
      await go(facePath);
      await clickAndLoad(page, page.getByRole("link", { name: /^Hole 4 / }));
      await checkPage(page, `${size}-dark-hole`);
      await page.emulateMedia({ colorScheme: "light" });
    });

    test("the browser reports no error", () => assert.deepEqual(errors, []));
  });
}
