// The phone, as far as it can be had without one: the shell's own request and change code in a JVM, over the real library.
// The browser stands where the WebView stands. What Android does there, this does here: every request is intercepted,
// a page that has opened is given its end of the line, a file that is chosen is copied to where the shell finds it.

import { spawn } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { firstValue, ended } from "./started.mjs";

const app = fileURLToPath(new URL("../../../android/app/", import.meta.url));
const library = fileURLToPath(new URL("../../../android/bindings/target/generated/lib/", import.meta.url));

function classes() {
  const list = join(app, "target", "classpath");
  if (!existsSync(list)) throw new Error("The phone's shell is not built; run: mvn -f android/pom.xml verify");
  return [join(app, "target/classes"), join(app, "target/test-classes"), readFileSync(list, "utf8").trim()].join(":");
}

/** A process that lives for seconds: its code is not worth compiling twice, nor its memory several collectors. */
const short = ["-XX:TieredStopAtLevel=1", "-XX:+UseSerialGC"];

/** The shell on a notebook's folder. */
export class Phone {
  static async start(notebook) {
    const phone = new Phone();
    phone.folder = await mkdtemp(join(tmpdir(), "holebook-phone-"));
    await phone.wake(notebook);
    return phone;
  }

  /** Starts the app's process. */
  async wake(notebook) {
    this.notebook = notebook;
    const words = [...short, "-cp", classes(), `-Djna.library.path=${library}`, "org.holebook.app.host.PhoneHostKt"];
    this.running = spawn("java", [...words, notebook, this.folder], { stdio: ["ignore", "pipe", "pipe"] });
    Object.assign(this, await firstValue(this.running, "the phone's host"));
  }

  /** Ends the app's process as Android does: without a word, after it has kept the instance state. */
  async die() {
    const state = await this.ask("save");
    this.running.kill("SIGKILL");
    await ended(this.running);
    return state;
  }

  async stop() {
    this.running.kill("SIGKILL");
    await ended(this.running);
    await rm(this.folder, { recursive: true, force: true });
  }

  /** Asks the host one thing. */
  async ask(what, said = {}, body) {
    return (await this.send(what, said, body)).text();
  }

  async send(what, said, body) {
    const words = Object.entries({ ...said, key: this.key }).map(([name, value]) => [`x-${name}`, encodeURIComponent(value)]);
    const answer = await fetch(`${this.host}/${what}`, { method: body === undefined ? "GET" : "POST", headers: words, body });
    if (answer.status === 403) throw new Error("The phone's host refuses its own harness.");
    return answer;
  }

  /** The page tells the shell a moment after the last key: waits until what the shell would keep holds that, or no more. */
  async heard(words, holds = true) {
    for (let look = 0; look < 600; look += 1) {
      if ((await this.ask("save")).includes(words) === holds) return;
      await sleep(50);
    }
    throw new Error(`What the shell keeps ${holds ? "never held" : "still holds"} ${words}.`);
  }

  /** A press of a volume key, up or down. */
  async press(page, key) {
    await page.waitForLoadState();
    const step = await this.ask("step", { to: key === "down" ? "next" : "prev" });
    await page.evaluate(async (step) => {
      while (!window.holebookShell) await new Promise((resolve) => setTimeout(resolve, 20));
      window.holebookShell.postMessage(step);
    }, step);
  }

  /** A photo that another app shares with the notebook. */
  async share(file) {
    await this.ask("share", { name: basename(file) }, await readFile(file));
  }

  /** Puts the phone round a browser's pages. `asked` gathers what they ask of other places. */
  async carry(context) {
    let queue = Promise.resolve(); // the shell hears one thing after the other
    await context.exposeBinding("holebookHear", (_, message) => (queue = queue.then(() => this.ask("hear", {}, message))));
    await context.route("**/*", (route) => this.intercept(route));
    context.on("page", (page) => lend(page, this));
  }

  async intercept(route) {
    const request = route.request();
    const url = new URL(request.url());
    if (url.protocol === "data:" || url.protocol === "blob:") return route.continue();
    if (!request.url().startsWith(this.address)) return route.abort();
    const within = request.url().slice(this.address.length - 1).split("#")[0];
    const answer = await this.send("look", { within, method: request.method() });
    const body = Buffer.from(await answer.arrayBuffer());
    const hop = ["connection", "date", "content-length", "transfer-encoding"];
    const headers = Object.fromEntries([...answer.headers].filter(([name]) => !hop.includes(name)));
    await route.fulfill({ status: answer.status, headers, body });
    if (url.pathname === "/shell/hello") await this.greet(request.frame(), within);
  }

  /** Gives a page its end of the line. */
  async greet(frame, within) {
    const greeting = await this.ask("greeting", { within });
    const connect = (greeting) => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = async ({ data }) => {
        const answer = await window.holebookHear(data);
        if (answer) port1.postMessage(answer);
      };
      window.holebookShell = port1;
      window.postMessage(greeting, location.origin, [port2]);
    };
    await frame.evaluate(connect, greeting).catch(() => {}); // the page has gone on meanwhile
  }
}

const lent = new WeakMap();

/** Puts the phone behind a page's hands: what is chosen is first copied to it, as the shell does with what its own chooser gives. */
function lend(page, phone) {
  lent.set(page, phone);
  const locator = Object.getPrototypeOf(page.locator("html"));
  if (locator.lends) return;
  locator.lends = true;
  const choose = locator.setInputFiles;
  locator.setInputFiles = async function (file, ...more) {
    const holder = lent.get(this.page());
    if (!holder) return choose.call(this, file, ...more);
    const buffer = await readFile(file);
    const name = await holder.ask("choose", { name: basename(file) }, buffer);
    return choose.call(this, { name, mimeType: "image/jpeg", buffer }, ...more);
  };
}
