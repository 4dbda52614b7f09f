// Bench tables: the calculators without a casting, on an empty notebook, at both sizes, by day and by night, with and without JavaScript.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { carried, enter, launch, sizes } from "./harness/browser.mjs";
import { look, picture } from "./harness/look.mjs";
import { press } from "./harness/press.mjs";
import { OpenNotebook, carrier } from "./harness/program.mjs";
import { writeAs } from "./harness/start.mjs";

const button = /^(Look it up|Say which it may be|Work it out|Judge the ways)$/;

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

for (const [size, options] of carried) {
  for (const colorScheme of ["light", "dark"]) {
    describe(`bench tables on a ${size}, ${colorScheme}`, () => {
      let notebook, page, faults;
      const go = (path) => page.goto(new URL(path, notebook.address).href);
      const ask = async (tool, fields, choices = {}) => {
        await go(`/bench/${tool}`);
        for (const [label, value] of Object.entries(fields)) await page.getByLabel(label).first().fill(value);
        for (const [label, value] of Object.entries(choices)) {
          await page.getByLabel(label, { exact: true }).selectOption({ label: value });
        }
        await press(page, page.getByRole("button", { name: button }));
        await look(page, `${size}-bench-${tool}-${colorScheme}`);
      };
      const leaf = (heading) => page.locator("section.leaf", { has: page.getByRole("heading", { name: heading }) }).first();
      before(async () => {
        notebook = await OpenNotebook.fresh();
        ({ page, faults } = await enter(browser, notebook, { ...options, colorScheme }));
      });
      after(async () => {
        await page?.context().close();
        await notebook?.remove();
      });

      test("from the first page to every tool and back", async () => {
        await look(page, `${size}-first-${colorScheme}`);
        await press(page, page.getByRole("link", { name: "Bench tables" }));
        await page.getByRole("heading", { level: 1, name: "Bench tables" }).waitFor();
        await look(page, `${size}-bench-${colorScheme}`);
        const tools = await page.locator(".tool-cards a").evaluateAll((links) => links.map((link) => link.getAttribute("href")));
        assert.equal(tools.length, 7);
        for (const path of tools) {
          assert.equal((await go(path)).status(), 200, path);
          assert.equal(await page.locator(".bench-tools a[aria-current=page]").getAttribute("href"), path);
          await look(page, `${size}-bench-empty${path.replace(/\W/g, "-")}-${colorScheme}`);
        }
      });

      test("a thread: limits and drills of one's own drawer", async () => {
        // FED-STD-H28/2B Table II.A.1 prints .307 and .321 for 3/8-16, and 77 % for 5/16.
        await ask("thread", { Thread: "3/8-16" }, { "Drills from": "inch fractions only" });
        await leaf("3/8-16 UNC").getByRole("row", { name: /minor 0.3070 in 0.3210 in/ }).waitFor();
        await leaf("Drill for tapping").getByRole("row", { name: /5\/16.*within.*77 %/ }).waitFor();
        assert.equal(await page.getByText("Care.").count(), 2);
      });

      test("which thread it is", async () => {
        await ask("identify", { Caliper: "11.05 mm", Pitch: "14tpi" }, { "Measured across": "the outside of the screw" });
        await leaf("It may be").getByText("7/16-14 UNC").first().waitFor();
        await page.getByText(/55.degree|Whitworth|BSW/).first().waitFor();
      });

      test("inserts of a thread", async () => {
        // MS51830E: 1/2-13 outside, drill 29/64, four keys.
        await ask("insert", { Thread: "3/8-16" });
        const thin = leaf("Key-locking insert, thin wall");
        assert.match(await thin.innerText(), /29\/64[\s\S]*1\/2-13[\s\S]*Keys\s*4/);
      });

      test("drills for every hole, and for a diameter", async () => {
        await ask("drill", { Thread: "3/8-16" }, { For: "a bolt to pass through", "Drills from": "inch fractions only" });
        // ASME B18.2.8: 13/32 for normal fit.
        await leaf(/bolt passes, normal fit/).getByRole("row", { name: /13\/32.*within, take it/ }).waitFor();
        assert.equal(await page.locator("section.leaf").count(), 3);
        await go("/bench/drill?diameter=9.9+mm&drawer=fractional");
        await leaf("A hole of this diameter").getByRole("row", { name: /25\/64/ }).waitFor();
      });

      test("turns and feed", async () => {
        await ask("cutting", { "Tool's diameter": "1/2", "Depth of the hole": "2" }, { In: "medium iron" });
        // 70 to 100 ft/min over 1/2 in: 535 to 764 turns.
        await page.getByText("530 to 760 turns a minute").or(page.getByText("540 to 760 turns a minute")).waitFor();
        await page.getByText(/4.0 diameters deep: take 20 % off the speed/).waitFor();
      });

      test("what holds", async () => {
        // FED-STD-H28/2B (16): grade 5 in class 20 iron wants 2.99 D, 1.12 in.
        await ask("hold", { Thread: "3/8-16", "Thread engaged": ".5625" }, { "Bolt's grade": "SAE J429 grade 5", Metal: "ASTM A48 class 20" });
        await page.getByText("First the thread in the metal strips").waitFor();
        assert.match(await leaf("Thread for the bolt to break first").innerText(), /FED-STD-H28\/2B\s*1\.12/);
        await leaf("Tightening torque").getByText(/machine's manual comes first/).waitFor();
      });

      test("what can be done, in short first and each way a step away", async () => {
        const readings = { Thread: "3/8-16", "Depth to the bottom": "32 mm", "Metal under the bottom": "9 mm", "Centre to the nearest edge": "22 mm", "Centre to the nearest hole": "60 mm", "To come off the face": "0.5 mm", "Metal missing, diameter": "12.5 mm", "Missing down to": "9 mm", "Its centre off by": "0.8 mm" };
        await ask("remedies", readings, { "Bolt's grade": "SAE J429 grade 5", Hole: "blind" });
        const first = page.locator(".compared tbody a").first();
        const way = await first.textContent();
        await first.click();
        await page.waitForFunction(() => document.querySelector(location.hash)?.getBoundingClientRect().top < innerHeight);
        const shown = await page.evaluate(() => document.querySelector(`${location.hash} h3`).textContent);
        assert.equal(shown, way);
      });

      test("what cannot be meant is said at its field, and what was typed stays", async () => {
        const wrong = [
          ["thread", { Thread: "3/8-17" }, /3\/8-16/, "Thread"],
          ["thread", { Thread: "3/8-16", Class: "9Z" }, /9Z/, "Class"],
          ["identify", { Caliper: "abc" }, /abc/, "Caliper"],
          ["identify", { Caliper: "11 mm", Pitch: "many" }, /14tpi/, "Pitch"],
          ["drill", { Thread: "3/8-16", "Or a diameter": "9.9 mm" }, /keep one/, "Or a diameter"],
          ["cutting", { "Tool's diameter": "9 m" }, /diameter/i, "Tool's diameter"],
          ["hold", { Thread: "3/8-16", "Thread engaged": "-1 mm" }, /more than 0/, "Thread engaged"],
          ["hold", { Thread: "G 1/2", "Thread engaged": "10 mm" }, /pipe/, "Thread engaged"],
        ];
        for (const [tool, fields, sentence, field] of wrong) {
          await go(`/bench/${tool}`);
          for (const [label, value] of Object.entries(fields)) await page.getByLabel(label).first().fill(value);
          await press(page, page.getByRole("button", { name: button }));
          const alert = page.getByRole("alert");
          await alert.waitFor();
          assert.match(await alert.textContent(), sentence, tool);
          for (const [label, value] of Object.entries(fields)) {
            assert.equal(await page.getByLabel(label).first().inputValue(), value, `${tool}: ${label} is still there`);
          }
          assert.equal(await page.getByLabel(field).first().getAttribute("aria-invalid"), "true", `${tool}: ${field}`);
          await look(page, `${size}-bench-wrong-${tool}-${colorScheme}`);
        }
      });

      test("the browser complained of nothing", () => {
        assert.deepEqual(faults, []);
      });
    });
  }
}

// The phone's WebView always has JavaScript, and its shell needs it.
const skip = carrier === "phone" && "on the phone the shell's own script carries every form";

describe("bench tables without JavaScript", { skip }, () => {
  let notebook, page;
  before(async () => {
    notebook = await OpenNotebook.fresh();
    ({ page } = await enter(browser, notebook, { ...sizes.phone, javaScriptEnabled: false }));
  });
  after(async () => {
    await page?.context().close();
    await notebook?.remove();
  });

  test("a form asks by its address, and figures follow the notebook's unit and drawer", async () => {
    await page.goto(new URL("/settings", notebook.address).href);
    await page.getByLabel("Metric by tenths").check();
    await writeAs(page, "R. Sample", { unit: "millimetres" });
    await press(page, page.getByRole("link", { name: "Bench tables" }));
    await press(page, page.getByRole("link", { name: "Thread", exact: true }));
    await page.getByLabel("Thread").first().fill("M10");
    await press(page, page.getByRole("button", { name: "Look it up" }));
    assert.equal(new URL(page.url()).searchParams.get("thread"), "M10");
    // ISO 965-1: minor diameter of M10 in 6H, 8.376 to 8.676 mm.
    await page.getByRole("row", { name: /minor 8.376 mm 8.676 mm/ }).waitFor();
    await page.getByRole("row", { name: /8.5 mm.*take it/ }).waitFor();
    await picture(page, "phone-plain-bench-thread");
  });
});
