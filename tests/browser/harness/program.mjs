// Runs the real program on a new notebook. With HOLEBOOK_CARRIER=phone the phone's shell serves the
// notebook's screens instead.

import { execFile, spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { exited, firstJson } from "./child-process.mjs";
import { Phone } from "./phone.mjs";

/** What serves the screens: `shop` (HTTP on this computer) or `phone`. */
export const carrier = process.env.HOLEBOOK_CARRIER ?? "shop";

const repository = fileURLToPath(new URL("../../../", import.meta.url));

/** The sample's folder in the repository. */
export const sample = join(repository, "samples", "pump-end-cover");

/** The program under test: HOLEBOOK_BIN, else the release build, else the debug build. */
function program() {
  const builds = ["release", "debug"].map((profile) => join(repository, "target", profile, "holebook"));
  const found = [process.env.HOLEBOOK_BIN, ...builds].find((path) => path && existsSync(path));
  if (!found) throw new Error("holebook is not built; run: cargo build --release -p holebook");
  return found;
}

/** Runs a command to its end. */
export async function run(...args) {
  return promisify(execFile)(program(), args, { timeout: 120_000 });
}

/** Runs a command that must fail; returns its error message. */
export async function runFailing(...args) {
  const error = await run(...args).then(() => undefined, (error) => error);
  if (error?.code !== 1) throw new Error(`holebook ${args[0]} should fail with 1, and ended with ${error?.code ?? 0}`);
  return error.stderr.trim();
}

/**
 * A notebook whose screens are open: `address` opens them in a browser, `folder` is the notebook,
 * and paired devices sync with it over `syncPort`.
 */
export class TestNotebook {
  /** Creates and opens a notebook: empty, or the demo's. */
  static async create({ demo = false, on = carrier } = {}) {
    const folder = await mkdtemp(join(tmpdir(), "holebook-test-"));
    const notebook = new TestNotebook(folder, on);
    if (demo) await run("demo", "--no-open", "--notebook", folder);
    await notebook.open();
    return notebook;
  }

  constructor(folder, carrier) {
    this.folder = folder;
    this.carrier = carrier;
  }

  /** Opens the screens and waits for their address. */
  async open() {
    if (this.carrier === "phone") {
      this.phone = await Phone.start(this.folder);
      this.address = this.phone.address;
      return;
    }
    // Any free port for sync: another notebook may be open on this computer.
    const args = ["open", "--no-open", "--port", "0", "--json", "--notebook", this.folder];
    this.process = spawn(program(), args, { stdio: ["ignore", "pipe", "pipe"] });
    const opened = await firstJson(this.process, "holebook");
    this.address = opened.address;
    this.syncPort = opened.sync_port;
  }

  /** Closes the screens; the notebook stays. */
  async close() {
    await this.phone?.stop();
    this.process?.kill("SIGTERM");
    if (this.process) await exited(this.process);
  }

  /** Closes the screens and deletes the notebook. */
  async remove() {
    await this.close();
    await rm(this.folder, { recursive: true, force: true });
  }
}
