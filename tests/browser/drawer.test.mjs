// The drawer, the kit and the order of work in a real browser: sets in one tap, a drill worn out, what is
// left to buy, and the file to send.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, describe, test } from "node:test";
import { launch, openPage, testedSizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { addFace, saveSettings } from "./harness/first-steps.mjs";
import { addHole, addMeasurements, chooseRemedy, describeDamage, planFaceCut, setThread } from "./harness/hole-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { TestNotebook } from "./harness/program.mjs";

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

const READINGS = {
  "Hole depth": ["38", "depth gauge"],
  "Floor thickness": ["12", "caliper"],
  "Edge distance": ["32", "steel rule"],
  "Nearest hole": ["64", "caliper"],
};
const DAMAGE = { from: "0", to: "22", diameter: "9.4", offset: "0" };
const WANTED = { thread: "3/8-16", through: "blind" };

for (const [size, options] of testedSizes) {
  describe(`drawer and kit, ${size}`, () => {
    let notebook, context, page, errors, holePath;
    const go = (path) => page.goto(new URL(path, notebook.address).href);
    const link = (name) => clickAndLoad(page, page.getByRole("link", { name, exact: true }));
    before(async () => {
      notebook = await TestNotebook.create();
      ({ context, page, errors } = await openPage(browser, notebook, options));
      await saveSettings(page, "R. Sample");
      await addFace(page, { casting: "Invented bracket", face: "Joint" });
      await planFaceCut(page, "0.5");
      await addHole(page);
      holePath = new URL(page.url()).pathname;
      await addMeasurements(page, READINGS);
      await describeDamage(page, DAMAGE);
      await setThread(page, WANTED);
    });
    after(async () => {
      await context?.close();
      await notebook?.remove();
    });

    test("a whole set is one tap, and a worn drill two", async () => {
      await go("/");
      await link("Drawer");
      await checkPage(page, `${size}-drawer-empty`);
      await clickAndLoad(page, page.getByRole("button", { name: "Letter drills, A to Z" }));
      await page.getByText("Set added.").first().waitFor();
      const drill = page.locator(".drawer-item", { hasText: "X (" });
      await drill.locator("summary").click();
      await checkPage(page, `${size}-drawer-item`);
      await clickAndLoad(page, drill.getByRole("button", { name: "One is worn" }));
      assert.match(await page.locator(".drawer-item", { hasText: "X (" }).locator("summary").innerText(), /0 \+ 1 worn/);
      await clickAndLoad(page, page.getByRole("button", { name: "Undo" }));
      assert.match(await page.locator(".drawer-item", { hasText: "X (" }).locator("summary").innerText(), /1$/);
    });

    test("the remedies are limited to what is on hand", async () => {
      await go(holePath);
      const all = await page.locator(".remedy-card").count();
      await link("Only what is on hand");
      assert.ok((await page.locator(".remedy-card").count()) < all);
      await page.getByText(/^Buy one/).first().waitFor();
      await checkPage(page, `${size}-on-hand`);
      await clickAndLoad(page, page.getByRole("link", { name: "All remedies", exact: true }));
      await chooseRemedy(page, "Wire thread insert", "in the drawer");
    });

    test("the kit counts the drawer off, and can be sent", async () => {
      await go("/");
      await clickAndLoad(page, page.locator(".cards").getByRole("link", { name: "Invented bracket" }));
      await link("Kit");
      await page.getByRole("heading", { name: "To buy or make" }).waitFor();
      const drill = page.locator(".kit-lines > li", { hasText: /\(10\.08\) drill/ });
      assert.match(await drill.innerText(), /1 on hand/);
      await checkPage(page, `${size}-kit`);
      if (process.env.HOLEBOOK_CARRIER === "phone") return;
      const download = page.waitForEvent("download");
      await page.getByRole("link", { name: "Save as CSV" }).click();
      const file = await (await download).path();
      assert.match(await readFile(file, "utf8"), /^\uFEFFgroup,item,needed,/);
    });

    test("the order of work cuts the face before it installs", async () => {
      await go("/");
      await link("Order of work");
      const runs = await page.locator(".order h2").allInnerTexts();
      assert.ok(runs.findIndex((run) => /Cut the face/.test(run)) < runs.findIndex((run) => /Install/.test(run)), runs.join());
      await link("first");
      await page.getByRole("link", { name: "✓ first" }).waitFor();
      await checkPage(page, `${size}-order`);
      await page.emulateMedia({ media: "print" });
      assert.ok(await page.locator(".order-holes .box").first().isVisible(), "a box to tick on paper");
      await page.emulateMedia({ media: null });
      assert.deepEqual(errors, []);
    });
  });
}
