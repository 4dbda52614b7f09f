// Bench tables: the calculators without a casting, on an empty notebook, at both sizes, in light
// and dark, with and without JavaScript.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openPage, sizes, testedVariants } from "./harness/browser.mjs";
import { checkPage, screenshot } from "./harness/check-page.mjs";
import { saveSettings } from "./harness/first-steps.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { carrier, TestNotebook } from "./harness/program.mjs";

const button = /^(Show|Identify|Calculate|Show remedies)$/;

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

for (const { size, colorScheme, options } of testedVariants) {
  describe(`bench tables on a ${size}, ${colorScheme}`, () => {
    let notebook, page, errors;
    const go = (path) => page.goto(new URL(path, notebook.address).href);
    const calculate = async (tool, fields, choices = {}) => {
      await go(`/bench/${tool}`);
      for (const [label, value] of Object.entries(fields)) await page.getByLabel(label).first().fill(value);
      for (const [label, value] of Object.entries(choices)) {
        await page.getByLabel(label, { exact: true }).selectOption({ label: value });
      }
      await clickAndLoad(page, page.getByRole("button", { name: button }));
      await checkPage(page, `${size}-bench-${tool}-${colorScheme}`);
    };
    const panel = (heading) => page.locator("section.panel", { has: page.getByRole("heading", { name: heading }) }).first();
    before(async () => {
      notebook = await TestNotebook.create();
      ({ page, errors } = await openPage(browser, notebook, options));
    });
    after(async () => {
      await page?.context().close();
      await notebook?.remove();
    });

    test("from the first page to every tool and back", async () => {
      await checkPage(page, `${size}-first-${colorScheme}`);
      await clickAndLoad(page, page.getByRole("link", { name: "Bench tables" }));
      await page.getByRole("heading", { level: 1, name: "Bench tables" }).waitFor();
      await checkPage(page, `${size}-bench-${colorScheme}`);
      const tools = await page.locator(".tool-cards a").evaluateAll((links) => links.map((link) => link.getAttribute("href")));
      assert.equal(tools.length, 9);
      for (const path of tools) {
        assert.equal((await go(path)).status(), 200, path);
        assert.equal(await page.locator(".bench-tools a[aria-current=page]").getAttribute("href"), path);
        await checkPage(page, `${size}-bench-empty${path.replace(/\W/g, "-")}-${colorScheme}`);
      }
    });

    test("a thread: limits and tap drills on hand", async () => {
      // FED-STD-H28/2B Table II.A.1 prints .307 and .321 for 3/8-16, and 77 % for 5/16.
      await calculate("thread", { Thread: "3/8-16" }, { Drills: "inch fractions only" });
      await panel("3/8-16 UNC").getByRole("row", { name: /minor \.3070 in \.3210 in/ }).waitFor();
      await panel("Tap drill").getByRole("row", { name: /5\/16.*OK.*77%/ }).waitFor();
      assert.equal(await page.getByText("Caution:").count(), 2);
    });

    test("identify a thread", async () => {
      await calculate("identify", { Caliper: "11.05 mm", Pitch: "14tpi" }, { Measured: "outside of the screw" });
      await panel("Matches").getByText("7/16-14 UNC").first().waitFor();
      await page.getByText(/55.degree|Whitworth|BSW/).first().waitFor();
    });

    test("inserts of a thread", async () => {
      // MS51830E: 1/2-13 outside, drill 29/64, four keys.
      await calculate("insert", { Thread: "3/8-16" });
      const thin = panel("Key-locking insert, thin wall");
      assert.match(await thin.innerText(), /29\/64[\s\S]*1\/2-13[\s\S]*Keys\s*4/);
    });

    test("drills for every hole, and for a diameter", async () => {
      await calculate("drill", { Thread: "3/8-16" }, { For: "clearance for a bolt", Drills: "inch fractions only" });
      // ASME B18.2.8: 13/32 for normal fit.
      await panel(/^Clearance hole .* normal fit/).getByRole("row", { name: /13\/32.*OK, best/ }).waitFor();
      assert.equal(await page.locator("section.panel").count(), 3);
      await go("/bench/drill?diameter=9.9+mm&drawer=fractional");
      await panel("Hole of this diameter").getByRole("row", { name: /25\/64/ }).waitFor();
    });

    test("speeds and feeds", async () => {
      await calculate("cutting", { "Tool diameter": "1/2", "Hole depth": "2" }, { Iron: "medium iron" });
      // 70 to 100 ft/min over 1/2 in: 535 to 764 RPM.
      await page.getByText("530-760 RPM").or(page.getByText("540-760 RPM")).waitFor();
      await page.getByText(/4.0 D deep: cut the speed by 20%/).waitFor();
    });

    test("strength and torque", async () => {
      // FED-STD-H28/2B (16): grade 5 in class 20 iron wants 2.99 D, 1.12 in.
      await calculate("strength", { Thread: "3/8-16", "Thread engagement": ".5625" }, { "Bolt grade": "SAE J429 grade 5", Metal: "ASTM A48 class 20" });
      await page.getByText("First: the thread in the metal strips").waitFor();
      await page.getByText("It holds at least what a sound hole holds").waitFor();
      // With .75 of the tensile strength in place of half: two thirds, .749 in.
      assert.match(await panel("Engagement for the bolt to break first").innerText(), /Planned with\s*\.749 in/);
      assert.match(await panel("Engagement for the bolt to break first").innerText(), /FED-STD-H28\/2B\s*1\.12/);
      await panel("Tightening torque").getByText(/machine's manual overrides/).waitFor();
    });

    test("remedies: a short table first, with a link to each", async () => {
      const readings = { Thread: "3/8-16", "Hole depth": "32 mm", "Floor thickness": "9 mm", "Edge distance": "22 mm", "Nearest hole": "60 mm", "Stock to remove": "0.5 mm", "Missing metal, diameter": "12.5 mm", "Missing down to": "9 mm", "Off center by": "0.8 mm" };
      await calculate("remedies", readings, { "Bolt grade": "SAE J429 grade 5", Hole: "blind" });
      const first = page.locator(".remedy-table tbody a").first();
      const title = await first.textContent();
      await first.click();
      await page.waitForFunction(() => document.querySelector(location.hash)?.getBoundingClientRect().top < innerHeight);
      const shown = await page.evaluate(() => document.querySelector(`${location.hash} h3`).textContent);
      assert.equal(shown, title);
    });

    test("pattern: a lost center is predicted, and a hole that wandered is named", async () => {
      // An 8 in square of holes with one in the middle; hole 5 was found .120 in high, hole 6 was not found.
      const wanted = "1 0 0\n2 8 0\n3 8 8\n4 0 8\n5 4 4\n6 4 0";
      const found = "1 1.002 2\n2 9 1.999\n3 9.001 10\n4 1 10.001\n5 5 6.120";
      await calculate("pattern", { "Wanted pattern": wanted, "Holes found": found, Tolerance: ".004" });
      const centers = panel("4 agree, 1 wandered, 1 predicted");
      assert.match(await centers.getByRole("row", { name: /^6/ }).innerText(), /5\.00\d\s+2\.00\d\s+\.00\d\s+○/);
      await centers.getByRole("row", { name: /✗ \.1[12]\d, (12 o'clock|11:5\d|12:0\d)/ }).waitFor();
      assert.equal(await page.locator(".face-map text").count(), 6);
    });

    test("face flatness: the least cut, and what each hole loses", async () => {
      // A square with one corner .008 in high: the planes lean with it, and half of it is left over.
      const heights = "0 0 .008\n8 0 0\n8 8 0\n0 8 0";
      await calculate("flatness", { "Height readings": heights, Holes: "1 0 0\n2 8 8" });
      assert.match(await panel("Least face cut").innerText(), /\.004\sin/);
      await panel("What each hole loses").getByRole("row", { name: /^1 \.004 in \.004 in/ }).waitFor();
    });

    test("invalid input is reported at its field, and what was typed stays", async () => {
      const wrong = [
        ["thread", { Thread: "3/8-17" }, /3\/8-16/, "Thread"],
        ["thread", { Thread: "3/8-16", Class: "9Z" }, /9Z/, "Class"],
        ["identify", { Caliper: "abc" }, /abc/, "Caliper"],
        ["identify", { Caliper: "11 mm", Pitch: "many" }, /14tpi/, "Pitch"],
        ["drill", { Thread: "3/8-16", "Or a diameter": "9.9 mm" }, /keep one/, "Or a diameter"],
        ["cutting", { "Tool diameter": "9 m" }, /diameter/i, "Tool diameter"],
        ["strength", { Thread: "3/8-16", "Thread engagement": "-1 mm" }, /more than 0/, "Thread engagement"],
        ["pattern", { "Wanted pattern": "1 0 0\n2 5", "Holes found": "1 0 0", Tolerance: ".01" }, /line 2: 1 lengths/, "Wanted pattern"],
        ["pattern", { "Wanted pattern": "1 0 0\n2 5 0", "Holes found": "1 0 0\n2 6 0", Tolerance: ".01" }, /6\.000\sin apart but 5\.000\sin/, "Holes found"],
        ["flatness", { "Height readings": "0 0 0\n1 0 0\n2 0 0" }, /on one line/, "Height readings"],
        ["flatness", { "Height readings": "0 0 high" }, /line 1/, "Height readings"],
        ["strength", { Thread: "G 1/2", "Thread engagement": "10 mm" }, /pipe/, "Thread engagement"],
      ];
      for (const [tool, fields, sentence, field] of wrong) {
        await go(`/bench/${tool}`);
        for (const [label, value] of Object.entries(fields)) await page.getByLabel(label).first().fill(value);
        await clickAndLoad(page, page.getByRole("button", { name: button }));
        const alert = page.getByRole("alert");
        await alert.waitFor();
        assert.match(await alert.textContent(), sentence, tool);
        for (const [label, value] of Object.entries(fields)) {
          assert.equal(await page.getByLabel(label).first().inputValue(), value, `${tool}: ${label} is still there`);
        }
        assert.equal(await page.getByLabel(field).first().getAttribute("aria-invalid"), "true", `${tool}: ${field}`);
        await checkPage(page, `${size}-bench-wrong-${tool}-${colorScheme}`);
      }
    });

    test("the browser reports no error", () => {
      assert.deepEqual(errors, []);
    });
  });
}

// The WebView of the phone always has JavaScript, and the shell needs it to send forms.
const skip = carrier === "phone" && "on the phone the shell's script sends every form";

describe("bench tables without JavaScript", { skip }, () => {
  let notebook, page;
  before(async () => {
    notebook = await TestNotebook.create();
    ({ page } = await openPage(browser, notebook, { ...sizes.phone, javaScriptEnabled: false }));
  });
  after(async () => {
    await page?.context().close();
    await notebook?.remove();
  });

  test("a form works by its address, with the notebook's unit and drills", async () => {
    await page.goto(new URL("/settings", notebook.address).href);
    await page.getByLabel("Metric by tenths").check();
    await saveSettings(page, "R. Sample", { unit: "millimeters" });
    await clickAndLoad(page, page.getByRole("link", { name: "Bench tables" }));
    await clickAndLoad(page, page.getByRole("link", { name: "Thread", exact: true }));
    await page.getByLabel("Thread").first().fill("M10");
    await clickAndLoad(page, page.getByRole("button", { name: "Show" }));
    assert.equal(new URL(page.url()).searchParams.get("thread"), "M10");
    // ISO 965-1: minor diameter of M10 in 6H, 8.376 to 8.676 mm.
    await page.getByRole("row", { name: /minor 8.376 mm 8.676 mm/ }).waitFor();
    await page.getByRole("row", { name: /8.5 mm.*best/ }).waitFor();
    await screenshot(page, "phone-no-javascript-bench-thread");
  });
});
