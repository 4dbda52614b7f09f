// The forms of a hole's page, filled as a person would: by their labels.

/** Opens the fold that says `words`, unless it is open. */
export async function fold(page, words) {
  const summary = page.locator("summary", { hasText: words }).first();
  await summary.waitFor();
  if (!(await summary.evaluate((element) => element.parentElement.open))) await summary.click();
}

/** Adds a hole on the face's page and gives its page's path; stops on that page. */
export async function addHole(page) {
  await page.getByRole("button", { name: "Add the hole" }).click();
  await page.waitForLoadState();
  if (!new URL(page.url()).pathname.startsWith("/hole/")) await page.locator(".holes a").last().click();
  await page.waitForURL(/\/hole\//);
  return new URL(page.url()).pathname;
}
