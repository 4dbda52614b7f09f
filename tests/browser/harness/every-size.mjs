// Checks a page at both sizes, in light and dark.

import { openPage, testedVariants } from "./browser.mjs";
import { checkPage } from "./check-page.mjs";

/** Checks the page at `path` in each variant; returns the errors that the browser reported. */
export async function checkAtEverySize(browser, notebook, path, name) {
  const reported = [];
  for (const { size, colorScheme, options } of testedVariants) {
    const { context, page, errors } = await openPage(browser, notebook, options);
    await page.goto(new URL(path, notebook.address).href);
    await checkPage(page, `${size}-${colorScheme}-${name}`);
    reported.push(...errors);
    await context.close();
  }
  return reported;
}
