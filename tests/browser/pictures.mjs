// Takes the README's pictures of the sample: `node tests/browser/pictures.mjs`, after `npm ci` in tests/browser; with
// HOLEBOOK_CARRIER=phone those of the phone's own lines.

import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { enter, launch, sizes } from "./harness/browser.mjs";
import { hand, markOf, onScreen } from "./harness/photo.mjs";
import { press } from "./harness/press.mjs";
import { OpenNotebook, carrier, sample } from "./harness/program.mjs";
import { fold } from "./harness/work.mjs";

const folder = fileURLToPath(new URL("../../samples/screens/", import.meta.url));
const notebook = await OpenNotebook.fresh({ demo: true });
const browser = await launch();

async function take(page, name) {
  await page.evaluate(() => Promise.all([...document.images].map((image) => image.decode())));
  await page.screenshot({ path: `${folder}${name}.jpg`, type: "jpeg", quality: 82 });
}

/** Opens the sample's face. */
async function face(page) {
  await press(page, page.getByRole("link", { name: "Sample engine No. 7, water jacket" }));
  await press(page, page.getByRole("link", { name: "Pump-end cover joint" }));
}

async function onDesk() {
  const { context, page } = await enter(browser, notebook, { ...sizes.desk, viewport: { width: 1280, height: 960 } });
  await face(page);
  await take(page, "face");
  await context.close();
}

async function onPhone() {
  const { context, page } = await enter(browser, notebook, sizes.phone);
  await face(page);
  const facePage = page.url();
  await press(page, page.getByRole("link", { name: /^Hole 6,|Hole 6 / }).first());
  await take(page, "hole");
  await page.goBack();
  await press(page, page.getByRole("link", { name: "Mark holes, look closer" }));
  await page.getByRole("button", { name: "Mark", exact: true }).click();
  const [x, y] = await markOf(page, 8);
  const places = [[x, y], [x + 90, y - 70], [x + 6, y]];
  const way = await Promise.all(places.map((place) => onScreen(page, place)));
  await hand(page, context, sizes.phone).slide(way, async () => {
    await page.locator(".loupe:not([hidden])").waitFor();
    await take(page, "marking");
  });
  await page.goto(facePage);
  await press(page, page.getByRole("link", { name: /^Hole 12,|Hole 12 / }).first());
  await page.getByRole("heading", { name: "In question" }).evaluate((head) => scrollBy(0, head.getBoundingClientRect().top - 16));
  await take(page, "two-answers");
  await page.goto(new URL("/bench/drill?thread=3%2F8-16&for=tap&drawer=fractional#answer", page.url()).href);
  await take(page, "bench");
  await context.close();
}

/** The phone's own lines: what was typed before the app ended, what it alone has, photos that were shared. */
async function onShell() {
  let { context, page } = await enter(browser, notebook, sizes.phone);
  await face(page);
  const facePage = page.url();
  await press(page, page.getByRole("link", { name: /^Hole 6,|Hole 6 / }).first());
  await fold(page, "Write down readings");
  await page.getByRole("group", { name: "Depth to the bottom" }).getByLabel(/^Reading/).fill("31.7");
  await notebook.phone.heard("31.7");
  const hole = page.url();
  const state = await notebook.phone.die();
  await context.close();
  await notebook.phone.wake(notebook.folder);
  await notebook.phone.ask("restore", {}, state);
  ({ context, page } = await enter(browser, notebook, sizes.phone));
  await page.goto(hole);
  await page.getByRole("status").filter({ hasText: "still here" }).waitFor();
  await take(page, "phone-typed");
  await notebook.phone.share(join(sample, "joint-face.jpg"));
  await page.goto(facePage);
  await take(page, "phone-shared");
  await context.close();
}

try {
  if (carrier === "phone") {
    await onShell();
  } else {
    await onDesk();
    await onPhone();
  }
} finally {
  await browser.close();
  await notebook.remove();
}
