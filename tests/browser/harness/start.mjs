// The first steps that several tests share: a casting, its face, a photo.

import { join } from "node:path";
import { press } from "./press.mjs";
import { sample } from "./program.mjs";

/** Adds a casting and a face by the forms, and stops on the face's page. */
export async function newFace(page, { casting = "Water jacket", face = "Pump end" } = {}) {
  await page.goto(new URL("/", page.url()).href);
  await page.getByLabel("Name").fill(casting);
  await press(page, page.getByRole("button", { name: "Add the casting" }));
  await page.getByRole("heading", { level: 1, name: casting }).waitFor();
  await page.getByLabel("Name").first().fill(face);
  await press(page, page.getByRole("button", { name: "Add the face" }));
  await page.getByRole("heading", { level: 1, name: face }).waitFor();
}

/** Brings in a photo on a face's page, and stops on the photo's page. */
export async function bringIn(page, file = join(sample, "joint-face.jpg"), { script = true } = {}) {
  await page.getByLabel(/Bring in a photo/).setInputFiles(file);
  const patience = { timeout: 120_000 }; // a picture is decoded and scaled, which a build with its checks takes its time for
  await press(page, page.getByRole("button", { name: "Bring it in" }), patience);
  await page.waitForURL(/\/photo\//, patience);
  if (script) await page.getByRole("button", { name: "Mark", exact: true }).waitFor();
}

/** Says in the settings who writes, what the device is called, and in which unit lengths are shown. */
export async function writeAs(page, person, { unit = "millimetres", device } = {}) {
  await page.goto(new URL("/settings", page.url()).href);
  await page.getByLabel("Your name").fill(person);
  const name = page.getByLabel("This device");
  if (device || (await name.inputValue()) === "") await name.fill(device ?? "Test device");
  await page.getByLabel("Lengths in").selectOption({ label: unit });
  await press(page, page.getByRole("button", { name: "Keep these" }));
}
