// A real browser at the two sizes that people use: a phone at the casting, a desktop at the bench.

import { existsSync } from "node:fs";
import { chromium } from "playwright-core";
import { carrier } from "./program.mjs";

/**
 * Chromium as Debian and others install it; CHROMIUM names another. The headless shell is the same engine without the
 * windows of a desktop, and loads a page in a third of the time.
 */
const installed = ["/usr/bin/chromium-headless-shell", "/usr/bin/chromium", "/usr/bin/chromium-browser"];
const executablePath = process.env.CHROMIUM || installed.find((path) => existsSync(path));

const args = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** The two sizes. */
export const sizes = {
  phone: { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 },
  desktop: { viewport: { width: 1440, height: 900 } },
};

/** The sizes, by name, at which the carrier under test shows the screens. */
export const testedSizes = Object.entries(sizes).filter(([size]) => carrier === "shop" || size === "phone");

/** Each size with a color scheme that it is looked at in; COLOR_SCHEMES=all adds the other two. */
export const testedVariants = [
  ["desktop", "light"],
  ["phone", "dark"],
  ...(process.env.COLOR_SCHEMES === "all" ? [["desktop", "dark"], ["phone", "light"]] : []),
]
  .filter(([size]) => carrier === "shop" || size === "phone")
  .map(([size, colorScheme]) => ({ size, colorScheme, options: { ...sizes[size], colorScheme } }));

export function launch() {
  return chromium.launch({ executablePath, args });
}

/**
 * Opens a notebook in a browser page of its own, by the address with its key. `errors` collects
 * what the browser reports: an exception, a blocked style or script, a request to another host.
 */
export async function openPage(browser, notebook, options) {
  const context = await browser.newContext({ locale: "en-GB", timezoneId: "UTC", ...options });
  await notebook.phone?.attach(context);
  const page = await context.newPage();
  page.setDefaultTimeout(60_000); // a page takes milliseconds, but the machine may be busy
  const errors = [];
  page.on("pageerror", (error) => errors.push(`exception: ${error.message}`));
  page.on("console", (message) => {
    // A rejected form returns 400 or 422 on purpose, and the browser reports each on its console.
    const isRejection = /status of 4(00|22)/.test(message.text());
    if (["error", "warning"].includes(message.type()) && !isRejection) errors.push(message.text());
  });
  const host = new URL(notebook.address).host;
  page.on("request", (request) => {
    const url = new URL(request.url());
    if (url.protocol.startsWith("http") && url.host !== host) errors.push(`request to ${url.host}`);
  });
  await page.goto(notebook.address);
  return { context, page, errors };
}
