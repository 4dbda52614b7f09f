// Another server on this computer: a real browser that visits it must not hand it what gives access
// to the notebook. Browsers send cookies to every port of a host, so the notebook has a host of its
// own.

import assert from "node:assert/strict";
import { createServer, request } from "node:http";
import { after, before, describe, test } from "node:test";
import { launch, openPage, sizes } from "./harness/browser.mjs";
import { saveSettings } from "./harness/first-steps.mjs";
import { clickAndLoad } from "./harness/navigate.mjs";
import { carrier, TestNotebook } from "./harness/program.mjs";

const skip = carrier === "phone" && "the phone's screens are not on a port";

/** A server that records the cookies it gets, on a page with a link to itself. */
async function startOtherServer() {
  const cookies = [];
  const server = createServer((visit, answer) => {
    cookies.push(visit.headers.cookie ?? "");
    answer.setHeader("content-type", "text/html");
    answer.end("<!doctype html><title>Other</title><a href='/again'>again</a>");
  });
  await new Promise((done) => server.listen(0, "127.0.0.1", done));
  return { server, cookies, port: server.address().port };
}

/** Sends a request to the notebook's port by hand; returns the status. */
function send(address, { method = "GET", path, headers }) {
  const { port } = new URL(address);
  return new Promise((done, failed) => {
    const sent = request({ host: "127.0.0.1", port, method, path, headers }, (answer) => {
      answer.resume();
      done(answer.statusCode);
    });
    sent.on("error", failed);
    sent.end();
  });
}

describe("another server on this computer gets no access", { skip }, () => {
  let browser, notebook, other, page, context;
  before(async () => {
    browser = await launch();
    notebook = await TestNotebook.create();
    other = await startOtherServer();
    ({ page, context } = await openPage(browser, notebook, sizes.desktop));
    await saveSettings(page, "K. Bench");
  });
  after(async () => {
    await browser?.close();
    other?.server.close();
    await notebook?.remove();
  });

  test("the browser does not send it the notebook's cookie, and a replay of what it gets fails", async () => {
    const visitor = await context.newPage();
    for (const host of ["127.0.0.1", "localhost", "other.localhost"]) {
      await visitor.goto(`http://${host}:${other.port}/`);
      // From its own page: cookies that are kept from other sites are sent, too.
      await clickAndLoad(visitor, visitor.getByRole("link", { name: "again" }));
    }
    assert.ok(other.cookies.length >= 6, "it was visited");
    const own = new URL(notebook.address).host;
    const hosts = [own, `127.0.0.1:${new URL(notebook.address).port}`];
    for (const cookie of new Set(other.cookies)) {
      for (const host of hosts) {
        const headers = { host, origin: `http://${host}`, ...(cookie && { cookie }) };
        assert.equal(await send(notebook.address, { path: "/", headers }), 403, `reading at ${host}`);
        const type = { "content-type": "application/x-www-form-urlencoded" };
        const change = { method: "POST", path: "/settings", headers: { ...headers, ...type } };
        assert.equal(await send(notebook.address, change), 403, `a change at ${host}`);
      }
    }
    assert.ok(!other.cookies.some((cookie) => cookie.includes("holebook")), "it gets no cookie");
  });

  test("the same replay with the browser's own cookie works, so that the test can fail", async () => {
    const { host } = new URL(notebook.address);
    const all = await context.cookies(`http://${host}/`);
    const cookie = all.map(({ name, value }) => `${name}=${value}`).join("; ");
    assert.equal(await send(notebook.address, { path: "/", headers: { host, cookie } }), 200);
  });

  test("its page cannot read or change the notebook", async () => {
    const visitor = await context.newPage();
    await visitor.goto(`http://127.0.0.1:${other.port}/`);
    const { origin } = new URL(notebook.address);
    const outcomes = await visitor.evaluate(async (origin) => {
      const read = await fetch(`${origin}/`, { credentials: "include" }).then(() => "read", () => "refused");
      const form = { method: "POST", body: new URLSearchParams({ person: "Stranger" }), mode: "no-cors" };
      await fetch(`${origin}/settings`, { ...form, credentials: "include" }).catch(() => {});
      return read;
    }, origin);
    assert.equal(outcomes, "refused");
    await page.goto(new URL("/settings", notebook.address).href);
    assert.equal(await page.getByLabel("Your name").inputValue(), "K. Bench");
  });
});
