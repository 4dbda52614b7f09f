// What cannot be meant gets one sentence that says what, where and what to do, and changes nothing.

import assert from "node:assert/strict";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { enter, launch, sizes } from "./harness/browser.mjs";
import { look } from "./harness/look.mjs";
import { press } from "./harness/press.mjs";
import { OpenNotebook } from "./harness/program.mjs";
import { newFace, writeAs } from "./harness/start.mjs";
import { addHole, fold, planCut } from "./harness/work.mjs";

describe("wrong input", () => {
  let browser, notebook, page, faults, folder, facePath, holePath;
  const go = (path) => page.goto(new URL(path, notebook.address).href);
  const refused = async (sentence) => {
    const alert = page.getByRole("alert");
    await alert.waitFor();
    assert.match(await alert.textContent(), sentence);
  };
  before(async () => {
    browser = await launch();
    folder = await mkdtemp(join(tmpdir(), "holebook-wrong-"));
    notebook = await OpenNotebook.fresh();
    ({ page, faults } = await enter(browser, notebook, sizes.phone));
    await writeAs(page, "R. Sample");
    await newFace(page);
    facePath = new URL(page.url()).pathname;
    holePath = await addHole(page);
  });
  after(async () => {
    await browser?.close();
    await notebook?.remove();
    if (folder) await rm(folder, { recursive: true, force: true });
  });

  test("a casting without a name", async () => {
    await go("/");
    await press(page, page.getByRole("button", { name: "Add the casting" }));
    await refused(/Name/);
  });

  test("a text file that calls itself a photo", async () => {
    const text = join(folder, "joint-face.jpg");
    await writeFile(text, "This is no picture.\n");
    await go(facePath);
    await page.getByLabel(/Bring in a photo/).setInputFiles(text);
    await press(page, page.getByRole("button", { name: "Bring it in" }));
    await refused(/JPEG|picture|photo/);
    await look(page, "phone-refused-photo");
    await go(facePath);
    assert.equal(await page.locator("a[href^='/photo/']").count(), 0);
  });

  for (const depth of ["abc", "0", "-3", "NaN", "inf", "1e12", "9..9"]) {
    test(`a depth of '${depth}'`, async () => {
      await go(holePath);
      await fold(page, "Write down readings");
      const field = page.getByLabel(/^Reading/).first();
      await field.fill(depth);
      await press(page, page.getByRole("button", { name: "Record the readings" }));
      await refused(/depth/i);
      assert.equal(await page.getByLabel(/^Reading/).first().inputValue(), depth, "what was typed is still there");
      await go(holePath);
      assert.equal(await page.getByText("None yet.").count(), 1, "no reading was recorded");
    });
  }

  test("a thread that does not exist is answered with the nearest that do", async () => {
    await go(holePath);
    await fold(page, /Say what it shall be/);
    await page.getByLabel("Thread of the bolt").fill("3/8-17");
    await press(page, page.getByRole("button", { name: "Record it" }));
    await refused(/3\/8-16/);
    await look(page, "phone-refused-thread");
  });

  test("damage outside the hole, or upside down", async () => {
    await go(holePath);
    await fold(page, /Say what is missing/);
    await page.getByLabel("From depth").first().fill("9");
    await page.getByLabel("To depth").first().fill("3");
    await page.getByLabel("Diameter").first().fill("12");
    await press(page, page.getByRole("button", { name: "Record the damage" }));
    await refused(/deeper/);
  });

  test("a bare number is read in the reader's unit, a unit written with it wins", async () => {
    await go(facePath);
    await planCut(page, "0.5");
    await shows("0.5 mm");
    await planCut(page, "1/32 in");
    await shows("0.79 mm");
    await writeAs(page, "R. Sample", { unit: "inches" });
    await go(facePath);
    await shows("0.0313 in");
    await planCut(page, ".020");
    await shows("0.020 in");
    await planCut(page, "0.5 mm");
    await shows("0.0197 in");
    await writeAs(page, "R. Sample", { unit: "millimetres" });
    await go(facePath);
    await shows("0.5 mm");
  });

  const shows = async (words) => {
    const facts = page.locator("dl.facts", { hasText: "Planned" });
    await facts.getByText(words).first().waitFor();
  };

  test("addresses that lead nowhere", async () => {
    for (const path of ["/hole/nothing", "/photo/0", "/face/00000000-0000-7000-8000-000000000000", "/no/such"]) {
      const answer = await go(path);
      assert.equal(answer.status(), 404, path);
      await page.getByRole("alert").waitFor();
    }
    await look(page, "phone-no-such-page");
  });

  test("the browser complained of nothing else", () => {
    assert.deepEqual(faults.filter((fault) => !/status of 404/.test(fault)), []);
  });
});
