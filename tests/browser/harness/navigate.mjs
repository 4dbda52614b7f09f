// Clicks that load another page. A test reads a page only when all of it has loaded: an element at
// its top, or one that the previous page had too, says nothing about the rest.

/**
 * Clicks what leads to another page, and waits until that page has loaded. It waits for the load
 * event, because on the phone a form first goes to the shell while its page still shows. `timeout`
 * is for a form that takes long.
 */
export async function clickAndLoad(page, control, options = {}) {
  await page.waitForLoadState();
  await Promise.all([page.waitForEvent("load", options), control.click(options)]);
}

/** Clicks what starts a sync, an import or an export, and waits until it has ended. */
export async function clickAndFinish(page, control) {
  await clickAndLoad(page, control);
  await waitUntilFinished(page);
}

/** Waits until nothing runs on the page: it shows progress, and reloads itself at the end. */
export async function waitUntilFinished(page) {
  const progress = page.locator("[data-follow]");
  do {
    await page.locator(":root:not(:has([data-follow]))").waitFor({ state: "attached" });
    await page.waitForLoadState();
  } while (await progress.count()); // the page that loaded last was not complete yet
}

/** The words of the pairing code on the page. */
export async function codeWords(page) {
  const list = page.locator("ol.code-words:has(li:nth-child(16))");
  return (await list.innerText()).split(/\s+/);
}
