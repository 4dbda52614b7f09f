// What holds for every page at every size: WCAG 2.2 AA as far as axe can check it, controls large
// enough for a thumb in a glove, nothing wider than the screen. Each page's screenshot is saved in
// the folder SCREENSHOTS, to look at.

import assert from "node:assert/strict";
import { mkdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { carrier } from "./program.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const screenshots = process.env.SCREENSHOTS;
if (screenshots) mkdirSync(screenshots, { recursive: true });

/**
 * The rules of the Web Content Accessibility Guidelines 2.2, levels A and AA (w3.org/TR/WCAG22).
 */
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

/**
 * Rules of these levels that axe need not check: our own check of controls asks for more, and the colors are measured
 * once, since both carriers show the same pages with the same style sheet. Axe spends most of its time on these two.
 */
const RULES = {
  "target-size": { enabled: false },
  "color-contrast": { enabled: carrier === "shop" },
};

/** Minimum width and height of a control, in CSS pixels. */
const TOUCH_TARGET = 48;

/** Saves a screenshot of the whole page. */
export async function screenshot(page, name) {
  await save(page, name, { fullPage: true });
}

/**
 * Saves a screenshot of the visible part: during a gesture, because a full one resizes the page.
 */
export async function visibleScreenshot(page, name) {
  await save(page, name, { fullPage: false });
}

async function save(page, name, options) {
  if (screenshots) await page.screenshot({ path: join(screenshots, `${name}.png`), scale: "css", ...options });
}

/** Checks the page's layout as it opens and, with `folds`, with all folds open; then what axe checks, with what is open. */
export async function checkPage(page, name, { folds = true } = {}) {
  await page.waitForLoadState(); // after a link, the page may not be complete yet
  await screenshot(page, name);
  await checkLayout(page, name);
  const opened = folds ? await openFolds(page) : 0;
  if (opened) {
    await screenshot(page, `${name}-all-open`);
    await checkLayout(page, `${name} with its ${opened} folds open`);
  }
  await checkAccessibility(page, name);
  if (opened) await closeFolds(page);
}

/** Opens what is folded, and returns how many folds that were. */
function openFolds(page) {
  return page.evaluate(() => {
    window.openedFolds = [...document.querySelectorAll("main details:not([open])")];
    for (const details of window.openedFolds) details.open = true;
    return window.openedFolds.length;
  });
}

function closeFolds(page) {
  return page.evaluate(() => {
    for (const details of window.openedFolds) details.open = false;
  });
}

/** Every control is large enough, and nothing is wider than the screen. */
async function checkLayout(page, name) {
  await checkTouchTargets(page, name);
  const [content, screen] = await page.evaluate(() => [
    document.documentElement.scrollWidth,
    document.documentElement.clientWidth,
  ]);
  assert.ok(content <= screen, `${name}: the page is ${content} px wide on a screen of ${screen} px`);
}

/** Axe finds no violation of the guidelines. */
async function checkAccessibility(page, name) {
  // Evaluated, not loaded: the page's policy allows no scripts but its own.
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axe);
  const violations = await page.evaluate(async ([tags, rules]) => {
    const found = await window.axe.run(document, { runOnly: tags, rules, resultTypes: ["violations"] });
    return found.violations.map(({ id, help, nodes }) => {
      const where = nodes.slice(0, 5).map((node) => `${node.target.join(" ")} (${node.failureSummary})`);
      return `${id}: ${help}\n    ${where.join("\n    ")}`;
    });
  }, [TAGS, RULES]);
  assert.deepEqual(violations, [], `${name}: axe found\n${violations.join("\n")}`);
}

/** Every control is large enough, except links inside a sentence. */
async function checkTouchTargets(page, name) {
  const small = await page.evaluate((minimum) => {
    const controls = document.querySelectorAll("a[href], button, summary, select, textarea, input:not([type=hidden])");
    return [...controls].flatMap((control) => {
      const style = getComputedStyle(control);
      if (control.matches("a") && style.display === "inline" && !control.matches(".mark")) return [];
      const isCheckable = control.matches("[type=checkbox], [type=radio]");
      const box = (isCheckable ? (control.closest("label") ?? control) : control).getBoundingClientRect();
      const isVisible = control.checkVisibility({ visibilityProperty: true }) && box.width > 0 && box.right > 0;
      if (!isVisible || (box.height > minimum - 0.6 && box.width > minimum - 0.6)) return [];
      const label = control.getAttribute("aria-label") ?? control.textContent.trim().slice(0, 40);
      return [`${control.localName} "${label}" is ${box.width.toFixed(0)} by ${box.height.toFixed(0)} px`];
    });
  }, TOUCH_TARGET);
  assert.deepEqual(small, [], `${name}: controls below ${TOUCH_TARGET} px:\n${small.join("\n")}`);
}
