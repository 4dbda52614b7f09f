// Checks a page at both sizes, in light and dark.

import { openPage, sizes } from "./browser.mjs";
import { checkPage } from "./check-page.mjs";

/** The sizes and color schemes; with COLOR_SCHEMES=all the other two as well. */
const variants = [
  ["desktop", "light"],
  ["phone", "dark"],
  ...(process.env.COLOR_SCHEMES === "all" ? [["desktop", "dark"], ["phone", "light"]] : []),
];

/**
 * Checks the page at `path` in each variant, only at the phone's size if the phone carries it;
 * returns the errors that the browser reported.
 */
export async function checkAtEverySize(browser, notebook, path, name) {
  const reported = [];
  for (const [size, colorScheme] of variants) {
    if (notebook.carrier === "phone" && size !== "phone") continue;
    const { context, page, errors } = await openPage(browser, notebook, { ...sizes[size], colorScheme });
    await page.goto(new URL(path, notebook.address).href);
    await checkPage(page, `${size}-${colorScheme}-${name}`);
    reported.push(...errors);
    await context.close();
  }
  return reported;
}
