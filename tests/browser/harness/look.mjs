// What holds for every page at every size: WCAG 2.2 AA as axe checks it, targets for a gloved thumb,
// nothing wider than the screen. Each page's picture is kept where PICTURES says, to be looked at.

import assert from "node:assert/strict";
import { mkdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const pictures = process.env.PICTURES;
if (pictures) mkdirSync(pictures, { recursive: true });

/** The rules of the Web Content Accessibility Guidelines 2.2, levels A and AA (w3.org/TR/WCAG22). */
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

/** Least side of a control, CSS pixels. */
const THUMB = 48;

/** Keeps a picture of the whole page. */
export async function picture(page, name) {
  await keep(page, name, { fullPage: true });
}

/** Keeps a picture of what the screen shows, in the middle of a gesture: a picture of the whole page resizes it. */
export async function glimpse(page, name) {
  await keep(page, name, { fullPage: false });
}

async function keep(page, name, options) {
  if (pictures) await page.screenshot({ path: join(pictures, `${name}.png`), scale: "css", ...options });
}

/** Looks at the page as every reader has it, then, with `folds`, as one who opened all that can be opened. */
export async function look(page, name, { folds = true } = {}) {
  await page.waitForLoadState(); // a link's page may have come, and not all of its head yet
  await picture(page, name);
  await check(page, name);
  if (!folds) return;
  const closed = await page.locator("main details:not([open])").count();
  if (closed === 0) return;
  const opened = await page.evaluate(() => {
    const shut = [...document.querySelectorAll("main details:not([open])")];
    for (const details of shut) details.open = true;
    window.reopened = shut;
    return shut.length;
  });
  await picture(page, `${name}-all-open`);
  await check(page, `${name} with its ${opened} folds open`);
  await page.evaluate(() => {
    for (const details of window.reopened) details.open = false;
  });
}

async function check(page, name) {
  await accessible(page, name);
  await reachable(page, name);
  const [content, screen] = await page.evaluate(() => [
    document.documentElement.scrollWidth,
    document.documentElement.clientWidth,
  ]);
  assert.ok(content <= screen, `${name}: the page is ${content} px wide on a screen of ${screen} px`);
}

/** No violation of the guidelines that axe can find. */
async function accessible(page, name) {
  // Given to the page by the browser's own tools: the page's policy lets in no script but its own.
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axe);
  const violations = await page.evaluate(async (tags) => {
    const found = await window.axe.run(document, { runOnly: tags, resultTypes: ["violations"] });
    return found.violations.map(({ id, help, nodes }) => {
      const where = nodes.slice(0, 5).map((node) => `${node.target.join(" ")} (${node.failureSummary})`);
      return `${id}: ${help}\n    ${where.join("\n    ")}`;
    });
  }, TAGS);
  assert.deepEqual(violations, [], `${name}: axe found\n${violations.join("\n")}`);
}

/** Every control is large enough for a gloved thumb. Links that run along in a sentence are none. */
async function reachable(page, name) {
  const small = await page.evaluate((least) => {
    const controls = document.querySelectorAll("a[href], button, summary, select, textarea, input:not([type=hidden])");
    return [...controls].flatMap((control) => {
      const style = getComputedStyle(control);
      if (control.matches("a") && style.display === "inline" && !control.matches(".mark")) return [];
      const ticked = control.matches("[type=checkbox], [type=radio]");
      const box = (ticked ? (control.closest("label") ?? control) : control).getBoundingClientRect();
      const seen = control.checkVisibility({ visibilityProperty: true }) && box.width > 0 && box.right > 0;
      if (!seen || (box.height > least - 0.6 && box.width > least - 0.6)) return [];
      const words = control.getAttribute("aria-label") ?? control.textContent.trim().slice(0, 40);
      return [`${control.localName} "${words}" is ${box.width.toFixed(0)} by ${box.height.toFixed(0)} px`];
    });
  }, THUMB);
  assert.deepEqual(small, [], `${name}: controls below ${THUMB} px:\n${small.join("\n")}`);
}
