// The forms of a hole's and a face's page, filled in as a person would: by their labels.

import { clickAndLoad } from "./navigate.mjs";

/** Opens the fold with this label, unless it is open. */
export async function openFold(page, label) {
  const summary = page.locator("summary", { hasText: label }).first();
  await summary.waitFor();
  const isOpen = (await summary.locator("xpath=..").getAttribute("open")) !== null;
  if (!isOpen) await summary.click();
}

/** Adds a hole on the face's page; stays on the hole's page and returns its path. */
export async function addHole(page) {
  await clickAndLoad(page, page.getByRole("button", { name: "Add hole" }));
  await page.waitForURL(/\/hole\//);
  return new URL(page.url()).pathname;
}

/** Plans on the face's page how much stock to remove. */
export async function planFaceCut(page, planned) {
  await openFold(page, "Plan the face cut");
  await page.getByLabel(/^Stock to remove/).fill(planned);
  await clickAndLoad(page, page.getByRole("button", { name: "Save plan" }));
}

/** Records readings: for each quantity its value and instrument. */
export async function addMeasurements(page, readings) {
  await openFold(page, "Add measurements");
  for (const [quantity, [value, instrument]] of Object.entries(readings)) {
    const group = page.getByRole("group", { name: quantity });
    if (!(await group.count())) await openFold(page, "Bolt, mating part, and more");
    await group.getByLabel(/^Reading/).fill(value);
    await group.getByLabel("Measured with").fill(instrument);
  }
  await clickAndLoad(page, page.getByRole("button", { name: "Record measurements" }));
}

/** Records damage: a circle of missing metal over a span of depth. */
export async function describeDamage(page, { from, to, diameter, offset }) {
  await openFold(page, /Describe damage|Redo/);
  const row = page.getByRole("group", { name: "Missing metal 1" });
  await row.getByLabel(/^From depth/).fill(from);
  await row.getByLabel(/^To depth/).fill(to);
  await row.getByLabel(/^Diameter \(/).fill(diameter);
  await row.getByLabel(/^Off center by \(/).fill(offset);
  await clickAndLoad(page, page.getByRole("button", { name: "Record damage" }));
}

/** Sets the wanted thread, its bolt, and whether the hole goes through. */
export async function setThread(page, { thread, bolt, through }) {
  await openFold(page, /Set thread|Change thread/);
  const form = page.locator("#set-thread");
  await form.getByLabel("Bolt thread").fill(thread);
  if (bolt) await form.getByLabel("Bolt grade").selectOption({ label: bolt });
  if (through) await form.getByLabel("Hole", { exact: true }).selectOption({ label: through });
  await clickAndLoad(page, form.getByRole("button", { name: "Save", exact: true }));
}

/** Chooses the remedy with this heading: one of the first three, or a folded one. */
export async function chooseRemedy(page, remedy, reason) {
  // Not by its role: a folded heading has none.
  const card = page.locator("article.remedy-card", { has: page.locator("h3", { hasText: remedy }) }).first();
  await card.waitFor({ state: "attached" });
  if (!(await card.isVisible())) await openFold(page, /All remedies, least invasive first|Show all remedies/);
  const field = card.getByLabel(/^Reason/);
  if (reason && (await field.count())) {
    if (!(await field.isVisible())) await card.locator("summary", { hasText: "Give a reason" }).click();
    await field.fill(reason);
  }
  await clickAndLoad(page, card.getByRole("button", { name: /^Choose/ }));
}

/** What the page says is next. */
export async function nextStep(page) {
  return (await page.locator(".next-banner").innerText()).replace(/^Next\s*/, "").trim();
}

/** A step's number as the page shows it, the lower one of a range; undefined if it has none. */
async function plannedValue(step, name) {
  const term = step.locator("dt", { hasText: name }).first();
  if ((await term.count()) === 0) return undefined;
  return (await term.locator("xpath=following-sibling::dd[1]").innerText()).split("-")[0];
}

/** Opens the form of a step for another value than the planned one, if the step has it folded. */
export async function openOtherValue(step) {
  const fold = step.locator("details.other-value:not([open]) > summary");
  if (await fold.count()) await fold.first().click();
}

/** Records the next step by its form with its planned numbers; returns its title. */
export async function recordNextStep(page) {
  const step = page.locator(".steps > li.now");
  const title = await nextStep(page);
  await openOtherValue(step);
  const values = [
    [/^Depth reached/, (await plannedValue(step, /face as is/)) ?? "2 mm"],
    [/^Top below face/, (await plannedValue(step, /below the finished face/)) ?? "1 mm"],
    ["Checked with", "steel rule"],
    ["Checked by", "thread plug gauge, full depth by hand"],
  ];
  for (const [label, value] of values) {
    const field = step.getByLabel(label);
    if ((await field.count()) === 1) await field.fill(value);
  }
  const pass = step.getByRole("radio").first();
  if (await pass.count()) await pass.check();
  await clickAndLoad(page, step.getByRole("button", { name: /^Record/ }));
  return title;
}

/** Says that what the page asks about is right; does nothing if it asks nothing. */
export async function answerQuestions(page) {
  const button = page.getByRole("button", { name: "It is right, save it" });
  if (await button.count()) await clickAndLoad(page, button);
}

/**
 * Records on the face's page how much was removed, although some holes may not be measured yet, and
 * comes back.
 */
export async function recordFaceCut(page, removed) {
  const hole = page.url();
  await clickAndLoad(page, page.getByRole("link", { name: "Record it on the face's page" }));
  await openFold(page, "Record a cut");
  await page.getByLabel(/^Stock removed/).fill(removed);
  await page.getByLabel("Measured with").fill("depth micrometer, .0001");
  await clickAndLoad(page, page.getByRole("button", { name: "Record cut" }));
  await answerQuestions(page);
  await page.getByText(`${removed} removed`).waitFor();
  await page.goto(hole);
}
