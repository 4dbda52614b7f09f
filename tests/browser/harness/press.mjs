// What leads from one page to the next. What a test reads there is read when all of it has come: an element that stands
// early in a page, or stood on the page before it too, proves nothing about the rest.

/**
 * Presses what leads to another page, and waits until that page has loaded. On the phone a form first goes over the line to
 * the shell, and the page that sent it shows meanwhile; so it is the next page's own word that is waited for. Where the
 * notebook takes its time for the answer, `timeout` says for how long.
 */
export async function press(page, control, options = {}) {
  await page.waitForLoadState();
  await Promise.all([page.waitForEvent("load", options), control.click(options)]);
}

/** Presses what begins an exchange or takes or writes a bundle, and waits until that is over. */
export async function pressAndFollow(page, control) {
  await press(page, control);
  await followToEnd(page);
}

/** Waits until nothing is under way on the page: it follows what is, loads itself anew at its end, and is left alone till then. */
export async function followToEnd(page) {
  const followed = page.locator("[data-follow]");
  do {
    await page.locator(":root:not(:has([data-follow]))").waitFor({ state: "attached" });
    await page.waitForLoadState();
  } while (await followed.count()); // of the page that came last, not all was there yet
}

/** The words of the code for pairing that the page shows. */
export async function codeWords(page) {
  const all = page.locator("ol.words:has(li:nth-child(16))");
  return (await all.innerText()).split(/\s+/);
}
