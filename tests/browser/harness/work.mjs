// The forms of a hole's page, filled as a person would: by their labels, one step after the other.

import { press } from "./press.mjs";

/** Opens the fold that says `words`, unless it is open. */
export async function fold(page, words) {
  const summary = page.locator("summary", { hasText: words }).first();
  await summary.waitFor();
  if (!(await summary.locator("xpath=..").getAttribute("open").then((open) => open !== null))) await summary.click();
}

/** Adds a hole on the face's page and gives its page's path; stops on that page. */
export async function addHole(page) {
  await press(page, page.getByRole("button", { name: "Add the hole" }));
  await page.waitForURL(/\/hole\//);
  return new URL(page.url()).pathname;
}

/** Says on the face's page how much is still to come off. */
export async function planCut(page, planned) {
  await fold(page, "Plan the cut");
  await page.getByLabel(/^To come off the face/).fill(planned);
  await press(page, page.getByRole("button", { name: "Record the plan" }));
}

/** Writes down readings: by quantity, the value and what it was read with. */
export async function read(page, readings) {
  await fold(page, "Write down readings");
  for (const [quantity, [value, instrument]] of Object.entries(readings)) {
    const group = page.getByRole("group", { name: quantity });
    await group.getByLabel(/^Reading/).fill(value);
    await group.getByLabel("Measured with").fill(instrument);
  }
  await press(page, page.getByRole("button", { name: "Record the readings" }));
}

/** Says what is missing: a circle of metal over a span of depth. */
export async function damage(page, { from, to, diameter, off }) {
  await fold(page, /Say what is missing|Say it anew/);
  const line = page.getByRole("group", { name: "Missing metal 1" });
  await line.getByLabel(/^From depth/).fill(from);
  await line.getByLabel(/^To depth/).fill(to);
  await line.getByLabel(/^Diameter/).fill(diameter);
  await line.getByLabel(/^Centre off by/).fill(off);
  await press(page, page.getByRole("button", { name: "Record the damage" }));
}

/** Says the wanted thread, its bolt and whether the hole goes through. */
export async function want(page, { thread, bolt, through }) {
  await fold(page, /Say what it shall be|Change what it shall be/);
  await page.getByLabel("Thread of the bolt").fill(thread);
  if (bolt) await page.getByLabel("Bolt's grade").selectOption({ label: bolt });
  if (through) await page.getByLabel("Hole", { exact: true }).selectOption({ label: through });
  await press(page, page.getByRole("button", { name: "Record it", exact: true }));
}

/** Chooses a way by its heading. */
export async function choose(page, way, reason) {
  await fold(page, /The ways, the least that fits first|Look at every way/);
  const heading = page.getByRole("heading", { name: way });
  const card = page.locator("article.way", { has: heading }).first();
  const why = card.getByLabel(/^Why this one/);
  if (reason && (await why.count())) await why.fill(reason);
  await press(page, card.getByRole("button", { name: /^Choose/ }));
}

/** What the page says comes next. */
export async function next(page) {
  return (await page.locator(".next-strip").innerText()).replace(/^Next\s*/, "").trim();
}

/** A length among a step's numbers, as the page shows it; undefined where the step has none. */
async function asked(step, name) {
  const value = step.locator("dt", { hasText: name }).first();
  if ((await value.count()) === 0) return undefined;
  return (await value.locator("xpath=following-sibling::dd[1]").innerText()).split(/ to /)[0];
}

/** Records the step that comes next, as asked for; gives its title. */
export async function doNext(page) {
  const step = page.locator(".steps > li.now");
  const title = (await step.getByRole("heading").innerText()).trim();
  const values = [
    [/^Depth reached/, (await asked(step, /today's face/)) ?? "2 mm"],
    [/^Its top below the face/, (await asked(step, /^top below/)) ?? "1 mm"],
    ["Checked with", "steel rule"],
    ["Proved by", "thread plug gauge, full depth by hand"],
  ];
  for (const [label, value] of values) {
    const field = step.getByLabel(label);
    if ((await field.count()) === 1) await field.fill(value);
  }
  const passes = step.getByRole("radio").first();
  if (await passes.count()) await passes.check();
  await press(page, step.getByRole("button", { name: /^Record/ }));
  return title;
}

/** Records on the face's page how much came off, and comes back. */
export async function millFace(page, taken) {
  const hole = page.url();
  await press(page, page.getByRole("link", { name: "Record it on the face's page" }));
  await fold(page, "Record a cut that was made");
  await page.getByLabel(/^Taken off/).fill(taken);
  await page.getByLabel("Measured with").fill("depth micrometer, four places");
  await press(page, page.getByRole("button", { name: "Record the cut" }));
  await page.getByText(`${taken} taken off`).waitFor();
  await page.goto(hole);
}
