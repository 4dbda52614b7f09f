// Takes the README's pictures of the sample: `node tests/browser/pictures.mjs`, after `npm ci` in
// tests/browser; with HOLEBOOK_CARRIER=phone those that only the phone's app shows.

import { execFileSync } from "node:child_process";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { launch, openPage, sizes } from "./harness/browser.mjs";
import { openFold } from "./harness/hole-page.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { markPosition, pointer, toScreen } from "./harness/photo.mjs";
import { carrier, sample, TestNotebook } from "./harness/program.mjs";

const folder = fileURLToPath(new URL("../../samples/screens/", import.meta.url));
const notebook = await TestNotebook.create({ demo: true });
const browser = await launch();

async function take(page, name) {
  await page.evaluate(() => Promise.all([...document.images].map((image) => image.decode())));
  await page.screenshot({ path: `${folder}${name}.jpg`, type: "jpeg", quality: 82 });
}

/** Opens the sample's face. */
async function openFace(page) {
  await clickAndLoad(page, page.getByRole("link", { name: "Sample engine No. 7, water jacket", exact: true }).last());
  await clickAndLoad(page, page.getByRole("link", { name: "Pump-end cover joint", exact: true }).first());
}

async function openHole(page, number) {
  await clickAndLoad(page, page.getByRole("link", { name: new RegExp(`^Hole ${number},|Hole ${number} `) }).first());
}

async function onDesktop() {
  const { context, page } = await openPage(browser, notebook, { ...sizes.desktop, viewport: { width: 1280, height: 960 } });
  await openFace(page);
  await take(page, "face");
  await takeSheets(page);
  await context.close();
}

/** The first page of the work sheet, of the record and of the bolt-up sheet, on paper, by pdftoppm (Debian: poppler-utils). */
async function takeSheets(page) {
  for (const kind of ["work", "record", "bolt-up"]) {
    const bytes = await page.evaluate(async (address) => {
      const response = await fetch(address);
      return [...new Uint8Array(await response.arrayBuffer())];
    }, `${page.url()}/sheet/${kind}.pdf?paper=letter`);
    const output = `${folder}sheet-${kind}`;
    const options = ["-r", "84", "-gray", "-singlefile", "-jpeg", "-jpegopt", "quality=70", "-", output];
    execFileSync("pdftoppm", options, { input: Buffer.from(bytes) });
  }
}

async function onPhone() {
  const { context, page } = await openPage(browser, notebook, sizes.phone);
  await openFace(page);
  const face = page.url();
  await openHole(page, 6);
  await take(page, "hole");
  await page.goto(face);
  await takeMarking(page, context);
  await page.goto(face);
  await openHole(page, 12);
  const heading = page.getByRole("heading", { name: "Resolve conflict" });
  await heading.evaluate((heading) => scrollBy(0, heading.getBoundingClientRect().top - 16));
  await take(page, "conflict");
  await page.goto(new URL("/bench/drill?thread=3%2F8-16&for=tap&drawer=fractional#answer", face).href);
  await take(page, "bench");
  await context.close();
}

/** A mark while it is dragged, with the loupe. */
async function takeMarking(page, context) {
  await clickAndLoad(page, page.getByRole("link", { name: "Mark holes" }));
  await page.getByLabel("Next mark").waitFor();
  await page.locator(".viewport").evaluate((viewport) => viewport.scrollIntoView({ block: "start" }));
  await page.evaluate(() => scrollBy(0, -60));
  const [x, y] = await markPosition(page, 8);
  const positions = [[x, y], [x + 90, y - 70], [x + 6, y]];
  const path = await Promise.all(positions.map((position) => toScreen(page, position)));
  await pointer(page, context, sizes.phone).hold(path, async () => {
    await page.locator(".loupe:not([hidden])").waitFor();
    await take(page, "marking");
  });
}

/** What only the app shows: text that was typed before Android killed it, and shared photos. */
async function inApp() {
  let { context, page } = await openPage(browser, notebook, sizes.phone);
  await openFace(page);
  const face = page.url();
  await openHole(page, 6);
  await openFold(page, "Add measurements");
  await page.getByRole("group", { name: "Hole depth" }).getByLabel(/^Reading/).fill("1.25");
  await notebook.phone.waitForDraft("1.25");
  const hole = page.url();
  const state = await notebook.phone.kill();
  await context.close();
  await notebook.phone.launch(notebook.folder);
  await notebook.phone.call("restore", {}, state);
  ({ context, page } = await openPage(browser, notebook, sizes.phone));
  await page.goto(hole);
  await page.getByRole("status").filter({ hasText: "still here" }).waitFor();
  await take(page, "phone-typed");
  await notebook.phone.share(join(sample, "joint-face.jpg"));
  await page.goto(face);
  await take(page, "phone-shared");
  await context.close();
}

try {
  if (carrier === "phone") {
    await inApp();
  } else {
    await onDesktop();
    await onPhone();
  }
} finally {
  await browser.close();
  await notebook.remove();
}
