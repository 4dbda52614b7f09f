// Runs the real program on a fresh notebook: no stand-in answers the browser.

import { execFile, spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";

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

/** An open notebook: `address` lets a browser in, `folder` is where it lies. */
export class OpenNotebook {
  /** A notebook of its own: new and empty, or the demo's. */
  static async fresh({ demo = false } = {}) {
    const folder = await mkdtemp(join(tmpdir(), "holebook-test-"));
    const notebook = new OpenNotebook(folder);
    if (demo) await run("demo", "--no-open", "--notebook", folder);
    await notebook.open();
    return notebook;
  }

  constructor(folder) {
    this.folder = folder;
  }

  /** Opens the screens and waits for their address. */
  async open() {
    this.running = spawn(program(), ["open", "--no-open", "--json", "--notebook", this.folder], {
      stdio: ["ignore", "pipe", "pipe"],
    });
    let complaint = "";
    this.running.stderr.on("data", (text) => (complaint += text));
    const answer = await firstValue(this.running).catch((error) => {
      throw new Error(`${error.message} ${complaint}`);
    });
    this.address = answer.address;
  }

  /** Closes the screens; the notebook stays. */
  async shut() {
    const { running } = this;
    if (!running || running.exitCode !== null) return;
    const ended = new Promise((resolve) => running.once("exit", resolve));
    running.kill("SIGTERM");
    await ended;
  }

  /** Closes the screens and takes the notebook away. */
  async remove() {
    await this.shut();
    await rm(this.folder, { recursive: true, force: true });
  }
}

/** The first JSON value that a program prints. */
function firstValue(running) {
  return new Promise((resolve, reject) => {
    let text = "";
    const late = setTimeout(() => reject(new Error("holebook said no address within 20 s.")), 20_000);
    const settle = (done, value) => {
      clearTimeout(late);
      done(value);
    };
    running.stdout.on("data", (more) => {
      text += more;
      try {
        settle(resolve, JSON.parse(text));
      } catch {
        // Not all of it yet.
      }
    });
    running.once("exit", (code) => settle(reject, new Error(`holebook ended with ${code}.`)));
  });
}
