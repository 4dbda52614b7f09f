// The phone, without a phone: the app's own request and form code in a JVM, over the real library.
// The browser stands in for the WebView. What Android does there, this does here: it intercepts
// every request, gives each page that opens a port to the shell, and copies a chosen file to where
// the shell finds it.

import { spawn } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { exited, firstJson } from "./child-process.mjs";

const app = fileURLToPath(new URL("../../../android/app/", import.meta.url));
const library = fileURLToPath(new URL("../../../android/bindings/target/generated/lib/", import.meta.url));

function classPath() {
  const list = join(app, "target", "classpath");
  if (!existsSync(list)) throw new Error("The phone's shell is not built; run: mvn -f android/pom.xml verify");
  return [join(app, "target/classes"), join(app, "target/test-classes"), readFileSync(list, "utf8").trim()].join(":");
}

/** The process lives for seconds: optimizing its code and a parallel collector do not pay off. */
const jvmOptions = ["-XX:TieredStopAtLevel=1", "-XX:+UseSerialGC"];

/** The app on a notebook's folder. */
export class Phone {
  static async start(notebook) {
    const phone = new Phone();
    phone.folder = await mkdtemp(join(tmpdir(), "holebook-phone-"));
    await phone.launch(notebook);
    return phone;
  }

  /** Starts the app's process. */
  async launch(notebook) {
    this.notebook = notebook;
    const args = [...jvmOptions, "-cp", classPath(), `-Djna.library.path=${library}`, "org.holebook.app.host.PhoneHostKt"];
    this.process = spawn("java", [...args, notebook, this.folder], { stdio: ["ignore", "pipe", "pipe"] });
    Object.assign(this, await firstJson(this.process, "the phone's host"));
  }

  /** Kills the app's process as Android does, after it has saved its instance state. */
  async kill() {
    const state = await this.call("save");
    this.process.kill("SIGKILL");
    await exited(this.process);
    return state;
  }

  async stop() {
    this.process.kill("SIGKILL");
    await exited(this.process);
    await rm(this.folder, { recursive: true, force: true });
  }

  /** Calls the host; resolves to the text that it returns. */
  async call(name, parameters = {}, body) {
    return (await this.request(name, parameters, body)).text();
  }

  async request(name, parameters, body) {
    const headers = Object.entries({ ...parameters, key: this.key }).map(([name, value]) => [`x-${name}`, encodeURIComponent(value)]);
    const response = await fetch(`${this.host}/${name}`, { method: body === undefined ? "GET" : "POST", headers, body });
    if (response.status === 403) throw new Error("The phone's host rejects its own harness.");
    return response;
  }

  /** Waits until the drafts that the shell would save contain a text, or do not any more. */
  async waitForDraft(text, contained = true) {
    for (let attempt = 0; attempt < 600; attempt += 1) {
      if ((await this.call("save")).includes(text) === contained) return;
      await sleep(50);
    }
    throw new Error(`The shell's drafts ${contained ? "never contained" : "still contain"} ${text}.`);
  }

  /** Presses a volume key, up or down. */
  async pressVolumeKey(page, key) {
    await page.waitForLoadState();
    const step = await this.call("step", { to: key === "down" ? "next" : "prev" });
    await page.evaluate(async (step) => {
      while (!window.holebookShell) await new Promise((resolve) => setTimeout(resolve, 20));
      window.holebookShell.postMessage(step);
    }, step);
  }

  /** Shares a file with the notebook, as another app does. */
  async share(file) {
    await this.call("share", { name: basename(file) }, await readFile(file));
  }

  /** Puts the phone around the pages of a browser context. */
  async attach(context) {
    let previous = Promise.resolve(); // the shell handles one message after the other
    await context.exposeBinding("holebookHandle", (_, message) => (previous = previous.then(() => this.call("handle", {}, message))));
    await context.route("**/*", (route) => this.intercept(route));
    context.on("page", (page) => copyChosenFiles(page, this));
  }

  async intercept(route) {
    const request = route.request();
    const url = new URL(request.url());
    if (url.protocol === "data:" || url.protocol === "blob:") return route.continue();
    if (!request.url().startsWith(this.address)) return route.abort();
    const within = request.url().slice(this.address.length - 1).split("#")[0];
    const response = await this.request("get", { within, method: request.method() });
    const body = Buffer.from(await response.arrayBuffer());
    const hopByHop = ["connection", "date", "content-length", "transfer-encoding"];
    const headers = Object.fromEntries([...response.headers].filter(([name]) => !hopByHop.includes(name)));
    await route.fulfill({ status: response.status, headers, body });
    if (url.pathname === "/shell/hello") await this.greet(request.frame(), within);
  }

  /** Gives a page its end of the port. */
  async greet(frame, within) {
    const greeting = await this.call("greeting", { within });
    const connect = (greeting) => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = async ({ data }) => {
        const reply = await window.holebookHandle(data);
        if (reply) port1.postMessage(reply);
      };
      window.holebookShell = port1;
      window.postMessage(greeting, location.origin, [port2]);
    };
    await frame.evaluate(connect, greeting).catch(() => {}); // another page has opened meanwhile
  }
}

const phoneOf = new WeakMap();

/** Copies a file that is chosen on the page to the phone first, as the shell's own chooser does. */
function copyChosenFiles(page, phone) {
  phoneOf.set(page, phone);
  const locator = Object.getPrototypeOf(page.locator("html"));
  if (locator.copiesChosenFiles) return;
  locator.copiesChosenFiles = true;
  const setInputFiles = locator.setInputFiles;
  locator.setInputFiles = async function (file, ...rest) {
    const phone = phoneOf.get(this.page());
    if (!phone) return setInputFiles.call(this, file, ...rest);
    const buffer = await readFile(file);
    const name = await phone.call("choose", { name: basename(file) }, buffer);
    return setInputFiles.call(this, { name, mimeType: "image/jpeg", buffer }, ...rest);
  };
}
