// Runs the real program on a fresh notebook: no stand-in answers the browser. With HOLEBOOK_CARRIER=phone the phone's
// shell carries the notebook's screens instead.

import { execFile, spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { Phone } from "./phone.mjs";
import { ended, firstValue } from "./started.mjs";

/** What carries the screens: `shop` (HTTP on this computer) or `phone`. */
export const carrier = process.env.HOLEBOOK_CARRIER ?? "shop";

const top = fileURLToPath(new URL("../../../", import.meta.url));

/** The sample's folder in the checkout. */
export const sample = join(top, "samples", "pump-end-cover");

/** The program under test: HOLEBOOK_BIN, else the release build, else the debug build. */
export function program() {
  const builds = ["release", "debug"].map((kind) => join(top, "target", kind, "holebook"));
  const found = [process.env.HOLEBOOK_BIN, ...builds].find((path) => path && existsSync(path));
  if (!found) throw new Error("holebook is not built; run: cargo build --release -p holebook");
  return found;
}

/** Runs one of the program's commands to its end. */
export async function run(...words) {
  return promisify(execFile)(program(), words, { timeout: 120_000 });
}

/** Runs a command that is not to be done as asked; gives the sentence that says why. */
export async function refused(...words) {
  const failed = await run(...words).then(() => undefined, (error) => error);
  if (failed?.code !== 1) throw new Error(`holebook ${words[0]} was to be refused, and ended with ${failed?.code ?? 0}`);
  return failed.stderr.trim();
}

/** An open notebook: `address` lets a browser in, `folder` is where it lies, paired devices reach it at `shelfPort`. */
export class OpenNotebook {
  /** A notebook of its own: new and empty, or the demo's. */
  static async fresh({ demo = false, on = carrier } = {}) {
    const folder = await mkdtemp(join(tmpdir(), "holebook-test-"));
    const notebook = new OpenNotebook(folder, on);
    if (demo) await run("demo", "--no-open", "--notebook", folder);
    await notebook.open();
    return notebook;
  }

  constructor(folder, on) {
    this.folder = folder;
    this.on = on;
  }

  /** Opens the screens and waits for their address. */
  async open() {
    if (this.on === "phone") {
      this.phone = await Phone.start(this.folder);
      this.address = this.phone.address;
      return;
    }
    // Any free port for the shelf: another notebook may be open on this computer.
    const words = ["open", "--no-open", "--port", "0", "--json", "--notebook", this.folder];
    this.running = spawn(program(), words, { stdio: ["ignore", "pipe", "pipe"] });
    const answer = await firstValue(this.running, "holebook");
    this.address = answer.address;
    this.shelfPort = answer.shelf_port;
  }

  /** Closes the screens; the notebook stays. */
  async shut() {
    await this.phone?.stop();
    this.running?.kill("SIGTERM");
    if (this.running) await ended(this.running);
  }

  /** Closes the screens and takes the notebook away. */
  async remove() {
    await this.shut();
    await rm(this.folder, { recursive: true, force: true });
  }
}
