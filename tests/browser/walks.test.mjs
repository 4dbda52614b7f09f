// The way through each job on a phone, counted: from opening the hole's page to passed. What is the
// same for every hole of the face, and the first look, is recorded before.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openPage, sizes } from "./harness/browser.mjs";
import { checkPage } from "./harness/check-page.mjs";
import { addFace, saveSettings } from "./harness/first-steps.mjs";
import { addHole, openFold, planFaceCut, recordNextStep, setThread } from "./harness/hole-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { TestNotebook } from "./harness/program.mjs";
import { measure, press, table, Walk, walkToPassed } from "./harness/walk.mjs";

/** No screen of the way needs more than one scroll of its own height. */
const MOST_SCROLLED = 1;

describe("walks", () => {
  let browser, notebook, context, page, errors, facePath;
  const walks = [];
  const go = (path) => page.goto(new URL(path, notebook.address).href);

  /** A hole of the face with its thread and what a first look says. */
  const gradedHole = async (condition) => {
    await go(facePath);
    const path = await addHole(page);
    await setThread(page, { thread: "3/8-16", bolt: "SAE J429 grade 5", through: "blind" });
    await clickAndLoad(page, page.locator(".conditions button", { hasText: condition }).first());
    return path;
  };

  /** Walks a hole to passed, and keeps what it cost beside the aim. */
  const walkHole = async (job, aim, condition, answers) => {
    const path = await gradedHole(condition);
    await go(path);
    const name = `phone-walk-${job.replaceAll(/\W+/g, "-")}`;
    await checkPage(page, name, { folds: false });
    const walk = new Walk(page, name);
    await walkToPassed(walk, answers);
    walk.end();
    walks.push({ job, walk, aim });
    const { taps, fields, characters, loads, scrolled, farthest } = walk;
    const cost = JSON.stringify({ taps, fields, characters, loads, scrolled, farthest });
    assert.ok(taps <= aim.taps && fields <= aim.fields, `${job}: ${cost}`);
    assert.ok(characters <= aim.characters && loads <= aim.taps, `${job}: ${cost}`);
    assert.ok(scrolled <= MOST_SCROLLED, `${job}: ${cost}`);
    return walk;
  };

  /** Each step is recorded as planned with one tap, or else with its form. */
  const steps = [/./, async (walk, panel) => {
    const oneTap = panel.locator(".one-tap button").first();
    if (await oneTap.count()) return walk.go(oneTap);
    await recordNextStep(page);
    walk.taps += 1;
  }];

  before(async () => {
    browser = await launch();
    notebook = await TestNotebook.create();
    ({ context, page, errors } = await openPage(browser, notebook, sizes.phone));
    await saveSettings(page, "R. Sample", { unit: "inches" });
    await addFace(page);
    facePath = new URL(page.url()).pathname;
    await planFaceCut(page, "0");
    await go(`${facePath}/setup`);
    for (const tool of [/^6 in rule/, /^caliper/, /^depth gauge/]) await page.getByRole("checkbox", { name: tool }).check();
    await openFold(page, "Depth and distances");
    const floor = page.getByRole("group", { name: "Floor thickness" });
    await floor.getByLabel(/^Usual/).fill("1/2");
    await floor.getByLabel("Measured with").fill("6 in rule");
    await clickAndLoad(page, page.getByRole("button", { name: "Save setup" }));
  });
  after(async () => {
    console.log(table(walks));
    await context?.close();
    await browser?.close();
    await notebook?.remove();
  });

  test("a sound hole takes a tap to leave it and a tap to pass it", async () => {
    await walkHole("sound hole", { taps: 3, fields: 0, characters: 0 }, "Sound", [
      [/^Sound/, press("Leave as is")],
      [/^Final check/, press("Passed")],
    ]);
  });

  const around = [
    [/depth of the hole/, measure("1.5")],
    [/nearest edge/, measure("1.25")],
    // Its neighbor is 2-1/2 away: that is more than the page asks for.
    [/nearest hole/, press(/ or more$/)],
    [/floor/, measure(".5")],
  ];
  /** Types the fields of a damage card and saves it. */
  const describeIt = (values, more = async () => {}) => async (walk, panel) => {
    const form = panel.locator("form.ask", { has: page.locator(".keypad") });
    await more(walk, form);
    for (const [label, value] of values) await walk.type(form, label, value);
    await walk.go(form.getByRole("button", { name: "Save", exact: true }));
  };
  const choose = (name) => [/^Choose a remedy/, async (walk, panel) => {
    const card = panel.locator("article.remedy-card", { has: page.getByRole("heading", { name }) }).first();
    await walk.go(card.getByRole("button", { name: /^Choose/ }));
  }];
  const chooseUsable = [/^Choose a remedy/, async (walk, panel) => {
    const usable = page.locator(".verdict", { hasText: /Fits|Marginal/ });
    const card = panel.locator("article.remedy-card", { has: usable }).first();
    await walk.go(card.getByRole("button", { name: /^Choose/ }));
  }];
  const hour = (clock) => async (walk, form) => walk.tap(form.locator(`.hour-${clock}`));

  test("a loose hole takes a wire insert", async () => {
    await walkHole("loose hole, wire insert", { taps: 16, fields: 3, characters: 12 }, "Loose", [
      [/thread gone/, describeIt([[/^Across the thread/, ".372"]])],
      ...around, choose(/^Wire thread insert/), steps,
    ]);
  });

  test("an off-center hole takes a heavy insert", async () => {
    await walkHole("off center, heavy insert", { taps: 22, fields: 5, characters: 15 }, "Off center", [
      [/off center/, describeIt([[/^Off center by/, ".06"]], hour(2))],
      ...around, choose(/^Key-locking insert/), steps,
    ]);
  });

  test("a crater with a hard zone", async () => {
    const { screens } = await walkHole("crater with hard zone", { taps: 26, fields: 6, characters: 15 }, "Crater", [
      [/crater/, describeIt(
        [[/^Across the crater/, ".5"], [/^Crater depth/, ".3"], [/^Hard to/, ".125"]],
        async (walk, form) => walk.tap(form.locator("summary", { hasText: "Hard metal" })),
      )],
      [/depth of the hole/, measure("1")], ...around, choose(/^Key-locking insert/), steps,
    ]);
    // A rule might not decide, and a depth gauge is at hand: so the depth is asked for once.
    assert.equal(screens.filter((title) => /depth of the hole/.test(title)).length, 1);
  });

  test("a broken tap comes out, and the thread is chased", async () => {
    await walkHole("broken tap, then chase", { taps: 16, fields: 2, characters: 6 }, "Broken tool", [
      [/^What is wrong/, press("The thread is good")],
      ...around, choose(/^Chase/), steps,
    ]);
  });

  test("the browser reports no error", () => assert.deepEqual(errors, []));
});
