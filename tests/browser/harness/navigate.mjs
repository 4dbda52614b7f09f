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

/** What a person types of the pairing code on the page: the address, and the digits. */
export async function typedCode(page) {
  const digits = await page.locator(".code-digits").innerText();
  const address = await page.locator(".pairing-code .nowrap").innerText();
  return `${address} ${digits}`;
}
