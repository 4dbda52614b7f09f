// Steps that several tests share: settings, a casting, its face, a photo.

import { join } from "node:path";
import { clickAndLoad } from "./navigate.mjs";
import { sample } from "./program.mjs";

/** Adds a casting and a face, and stays on the face's page. */
export async function addFace(page, { casting = "Water jacket", face = "Pump end" } = {}) {
  await page.goto(new URL("/", page.url()).href);
  await page.getByLabel("Name").fill(casting);
  await clickAndLoad(page, page.getByRole("button", { name: "Add casting" }));
  await page.getByRole("heading", { level: 1, name: casting }).waitFor();
  await page.getByLabel("Name").first().fill(face);
  await clickAndLoad(page, page.getByRole("button", { name: "Add face" }));
  await page.getByRole("heading", { level: 1, name: face }).waitFor();
}

/** Adds a photo on a face's page, and stays on the photo's page. */
export async function addPhoto(page, file = join(sample, "joint-face.jpg"), { script = true } = {}) {
  await page.getByLabel(/^Photo \(JPEG or PNG\)/).setInputFiles(file);
  const options = { timeout: 120_000 }; // decoding and scaling take long in a debug build
  await clickAndLoad(page, page.getByRole("button", { name: "Add photo" }), options);
  await page.waitForURL(/\/photo\//, options);
  if (script) await page.getByLabel("Next mark").waitFor();
}

/** Saves the person's name, the device's name and the unit in the settings. */
export async function saveSettings(page, person, { unit = "millimeters", device } = {}) {
  await page.goto(new URL("/settings", page.url()).href);
  await page.getByLabel("Your name").fill(person);
  const deviceName = page.getByLabel("Device name");
  if (device || (await deviceName.inputValue()) === "") await deviceName.fill(device ?? "Test device");
  await page.getByLabel("Units").selectOption({ label: unit });
  await clickAndLoad(page, page.getByRole("button", { name: "Save", exact: true }));
}
