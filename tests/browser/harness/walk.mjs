// Walks a hole from opening its page to passed, as a thumb would, and counts what it costs: taps,
// values typed with their characters, page loads, and how far the page had to be scrolled.

import assert from "node:assert/strict";
import { screenshot } from "./check-page.mjs";
import { nextStep } from "./hole-page.mjs";

/** A page with its counters. A key of the keypad is a character, not a tap. */
export class Walk {
  taps = 0;
  fields = 0;
  characters = 0;
  loads = 0;
  /**
   * The farthest scroll, in screen heights, from where a page opened until all that is next on it has
   * been in sight.
   */
  scrolled = 0;
  /** What was next on that page. */
  farthest = "";
  /** What was next on each page, in order. */
  screens = [];

  /** `name` names the screenshots of its screens. */
  constructor(page, name) {
    this.page = page;
    this.name = name;
    this.onLoad = () => (this.loads += 1);
    page.on("load", this.onLoad);
  }

  /** Stops counting. */
  end() {
    this.page.off("load", this.onLoad);
    return this;
  }

  /** Taps a control that stays on the page. */
  async tap(control) {
    await this.#reach(control);
    this.taps += 1;
    await control.click();
  }

  /** Taps a control that leads to another page. */
  async go(control) {
    await this.page.waitForLoadState();
    await this.#reach(control);
    this.taps += 1;
    await Promise.all([this.page.waitForEvent("load"), control.click()]);
  }

  /** Types a value with the keypad, into the field with this label. */
  async type(form, label, value) {
    const field = form.getByLabel(label);
    await this.#reach(field);
    if (!(await field.evaluate((input) => input.classList.contains("keyed")))) await this.tap(field);
    this.fields += 1;
    this.characters += value.length;
    assert.equal(await field.evaluate((input) => input.inputMode), "none", "the phone's keyboard stays away");
    for (const key of value) await this.#key(form.locator(`.keypad [data-key="${key}"]`));
    assert.equal(await field.inputValue(), value);
  }

  async #key(key) {
    await this.#reach(key);
    await key.click();
  }

  /** Counts how far the page must be scrolled until a control is in sight. */
  async #reach(control) {
    await control.waitFor();
    const bottom = await control.evaluate((it) => it.getBoundingClientRect().bottom + scrollY - (window.openedAt ??= scrollY));
    this.#scrolledTo(bottom, await nextStep(this.page));
    await control.scrollIntoViewIfNeeded();
  }

  /**
   * Counts how far the page must be scrolled until all that is next has been in sight: its numbers,
   * cautions, fields and buttons, without what is folded.
   */
  async seeScreen(title) {
    this.screens.push(title);
    const scrolled = await this.page.evaluate(() => {
      const opened = (window.openedAt ??= scrollY);
      const parts = document.querySelectorAll("#next :is(button, .button, .caution, dl, .value-list li, .field, fieldset)");
      // A button that stays at the lower edge counts where it is once the page is scrolled to it.
      const forms = [...document.querySelectorAll("#next form")];
      for (const form of forms) form.style.position = "static";
      const visible = [...parts].filter((part) => part.checkVisibility());
      const bottoms = visible.map((part) => part.getBoundingClientRect().bottom + scrollY);
      for (const form of forms) form.style.removeProperty("position");
      return Math.max(0, ...bottoms) - opened;
    });
    this.#scrolledTo(scrolled, title);
    await screenshot(this.page, `${this.name}-${String(this.loads).padStart(2, "0")}`);
  }

  /** Keeps the farthest scroll: from the top of the screen as it opened down to `bottom`. */
  #scrolledTo(bottom, title) {
    const { height } = this.page.viewportSize();
    const scrolled = Math.max(0, bottom - height) / height;
    if (scrolled <= this.scrolled) return;
    this.scrolled = scrolled;
    this.farthest = title;
  }
}

/**
 * Goes on until the hole has passed. `answers` gives for each title of the next thing what to do with
 * its panel: a function of the walk and the panel.
 */
export async function walkToPassed(walk, answers) {
  const { page } = walk;
  for (let count = 0; count < 40; count += 1) {
    const title = await nextStep(page);
    if (title.startsWith("Done")) return;
    const [, answer] = answers.find(([pattern]) => pattern.test(title)) ?? [];
    assert.ok(answer, `nothing to do about "${title}"`);
    await walk.seeScreen(title);
    const loads = walk.loads;
    await answer(walk, page.locator("#next"));
    assert.notEqual(walk.loads, loads, `"${title}" led nowhere`);
    assert.equal(await page.getByRole("alert").count(), 0, `"${title}" was not accepted`);
  }
  assert.fail(`still "${await nextStep(page)}"`);
}

/** Answers a measuring question with the keypad. */
export const measure = (value) => async (walk, panel) => {
  const form = panel.locator("form.ask", { has: walk.page.locator(".keypad") });
  const label = await form.locator(".field label").first().innerText();
  await walk.type(form, label, value);
  await walk.go(form.getByRole("button", { name: "Save", exact: true }));
};

/** Taps the one button with this name. */
export const press = (name) => (walk, panel) => walk.go(panel.getByRole("button", { name }).first());

/** A table of walks for people: one row for each job. */
export function table(walks) {
  const head = ["job", "taps", "aim", "fields", "aim", "characters", "loads", "screens scrolled", "farthest"];
  const rows = walks.map(({ job, walk, aim }) =>
    [job, walk.taps, aim.taps, walk.fields, aim.fields, walk.characters, walk.loads, walk.scrolled.toFixed(2), walk.farthest]);
  const line = (cells) => `| ${cells.join(" | ")} |`;
  return [line(head), line(head.map(() => "---")), ...rows.map(line)].join("\n");
}
