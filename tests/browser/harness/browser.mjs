// A real browser at the two sizes that people use: a phone in the barn, a desk at the bench.

import { chromium } from "playwright-core";
import { carrier } from "./program.mjs";

/** Where Debian and others install Chromium; CHROMIUM names another. */
const executablePath = process.env.CHROMIUM ?? "/usr/bin/chromium";

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
  desk: { viewport: { width: 1440, height: 900 } },
};

/** The sizes, by name, at which people use what carries the screens. */
export const carried = Object.entries(sizes).filter(([size]) => carrier === "shop" || size === "phone");

export function launch() {
  return chromium.launch({ executablePath, args });
}

/**
 * A page of its own on the notebook, let in by the address with its key. `faults` gathers what the browser
 * complains about: an exception, a blocked style or script, an answer from elsewhere.
 */
export async function enter(browser, notebook, options) {
  const context = await browser.newContext({ locale: "en-GB", timezoneId: "UTC", ...options });
  await notebook.phone?.carry(context);
  const page = await context.newPage();
  page.setDefaultTimeout(60_000); // a page is there within milliseconds; a machine that does much else takes its time
  const faults = [];
  page.on("pageerror", (error) => faults.push(`exception: ${error.message}`));
  page.on("console", (message) => {
    // A refused form answers 4xx on purpose, and the browser reports each on its console.
    const refusal = /status of 4(00|22)/.test(message.text());
    if (["error", "warning"].includes(message.type()) && !refusal) faults.push(message.text());
  });
  const home = new URL(notebook.address).host;
  page.on("request", (request) => {
    const url = new URL(request.url());
    if (url.protocol.startsWith("http") && url.host !== home) faults.push(`asked ${url.host}`);
  });
  await page.goto(notebook.address);
  return { context, page, faults };
}
