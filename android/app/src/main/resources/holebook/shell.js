// The page's end of the line to the shell. A WebView hands the shell no form's content, so a form goes over this line
// instead of out to a network; so does what was typed and not yet recorded, which Android may otherwise lose at any moment.

(() => {
  const waiting = new Map(); // answers awaited, by the number of their question
  let questions = 0;

  // Only the shell can send a port here: the page shows in no frame, has none, and opens no windows. The word tells what
  // is meant for this page from what was still on its way to the page before it.
  const word = crypto.randomUUID();
  const line = new Promise((resolve) => {
    addEventListener("message", function greet(event) {
      if (event.ports.length !== 1) return;
      const greeting = JSON.parse(event.data);
      if (greeting.word !== word) return;
      removeEventListener("message", greet);
      const [port] = event.ports;
      port.onmessage = ({ data }) => hear(JSON.parse(data));
      hear(greeting);
      resolve(port);
    });
  });
  const say = (message) => line.then((port) => port.postMessage(JSON.stringify(message)));

  function hear(said) {
    if (said.kind === "hello") whenRead(() => restore(said.draft));
    else if (said.kind === "step") whenRead(() => document.querySelector(`a[rel=${said.to}]`)?.click());
    else waiting.get(said.id)?.(said);
  }

  function change(question) {
    const id = (questions += 1);
    const answer = new Promise((resolve) => waiting.set(id, resolve));
    say({ kind: "change", id, ...question });
    return answer.finally(() => waiting.delete(id));
  }

  function whenRead(then) {
    if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", then, { once: true });
    else then();
  }

  // --- Forms ---

  const isOurs = (form) => form.getAttribute("method")?.toLowerCase() === "post";
  const addressOf = (form) => new URL(form.getAttribute("action") ?? "", location.href);
  const within = ({ pathname, search }) => pathname + search;

  // At the window: what the page's own scripts do with a form comes first, and what they took is left to them.
  addEventListener("submit", async (event) => {
    const form = event.target;
    if (event.defaultPrevented || !isOurs(form)) return;
    event.preventDefault();
    const data = [...new FormData(form)];
    const { submitter } = event;
    if (submitter?.name) data.push([submitter.name, submitter.value]);
    const isFile = ([, value]) => value instanceof File;
    document.body.setAttribute("aria-busy", "true"); // a photo takes a second or two
    const answer = change({
      to: within(addressOf(form)),
      form: data.filter((pair) => !isFile(pair)),
      files: data.filter((pair) => isFile(pair) && pair[1].name).map(([name, file]) => [name, file.name]),
      waiting: form.dataset.waiting ?? "",
    });
    const { go } = await answer;
    sent.add(form);
    keep();
    goOn(new URL(go, location.href));
  });

  /** To the page with the answer. It can be the one that shows but for a place in it, and must come anew all the same. */
  function goOn(there) {
    if (there.hash && within(there) === within(location)) {
      history.replaceState(null, "", there);
      history.scrollRestoration = "manual"; // to that place, not to where the page stood
      location.reload();
    } else {
      location.assign(there);
    }
  }

  // What a browser would save goes out by the phone: its other apps send a bundle or keep it. What saves it says so.
  whenRead(() => {
    for (const link of document.querySelectorAll("a[download]")) link.append(", or share it");
  });
  addEventListener("click", async (event) => {
    const link = event.target.closest?.("a[download]");
    if (!link || event.defaultPrevented) return;
    event.preventDefault();
    const { go } = await change({ to: "/shell/hand-on", form: [], files: [] });
    goOn(new URL(go, location.href));
  });

  addEventListener("pageshow", () => document.body.removeAttribute("aria-busy"));

  // What the page's scripts send by themselves.
  const look = window.fetch.bind(window);
  window.fetch = async (resource, options = {}) => {
    const method = (options.method ?? resource.method ?? "GET").toUpperCase();
    const address = new URL(resource.url ?? resource, location.href);
    if (method !== "POST" || address.origin !== location.origin) return look(resource, options);
    const form = [...new URLSearchParams(options.body)];
    const answer = await change({ to: within(address), form, part: true });
    if (answer.location) return look(answer.location);
    return new Response(answer.body || null, { status: answer.status, headers: { "content-type": answer.type } });
  };

  // --- What was typed and not yet recorded ---

  const sent = new WeakSet(); // forms whose content the notebook has had
  const first = new Map(); // what each field held when the page came

  const isTyped = (field) => field.name && !["hidden", "file", "submit", "button"].includes(field.type);
  const isTick = (field) => ["checkbox", "radio"].includes(field.type);
  const valueOf = (field) => (isTick(field) ? field.checked : field.value);

  /** Each form with a name that is the same on the page when it comes again: its address, and which of those it is. */
  function named() {
    const seen = new Map();
    return [...document.forms].filter(isOurs).map((form) => {
      const { pathname } = addressOf(form);
      const number = seen.get(pathname) ?? 0;
      seen.set(pathname, number + 1);
      return [`${pathname}#${number}`, form];
    });
  }

  /** Each field of a form with its name and which of that name it is. */
  function fieldsOf(form) {
    const seen = new Map();
    return [...form.elements].filter(isTyped).map((field) => {
      const number = seen.get(field.name) ?? 0;
      seen.set(field.name, number + 1);
      return [field.name, number, field];
    });
  }

  whenRead(() => {
    for (const [, form] of named()) {
      // On the page that says why a form was not taken, all in that form was typed and is recorded nowhere.
      const refused = addressOf(form).pathname === location.pathname && document.querySelector("main [role=alert]");
      for (const [, , field] of fieldsOf(form)) first.set(field, refused ? (isTick(field) ? false : "") : valueOf(field));
    }
    keep();
  });

  function typed() {
    const draft = {};
    for (const [name, form] of named()) {
      if (sent.has(form)) continue;
      const fields = fieldsOf(form).filter(([, , field]) => first.has(field) && valueOf(field) !== first.get(field));
      if (fields.length) draft[name] = fields.map(([field, number, its]) => [field, number, valueOf(its)]);
    }
    return draft;
  }

  let last = "{}";
  function keep() {
    const draft = typed();
    const text = JSON.stringify(draft);
    if (text === last) return;
    last = text;
    say({ kind: "draft", page: location.pathname, draft: text === "{}" ? null : draft });
  }

  function restore(draft) {
    let restored = false;
    for (const [name, form] of named()) {
      const fields = fieldsOf(form);
      for (const [field, number, value] of draft?.[name] ?? []) {
        const its = fields.find(([a, b]) => a === field && b === number)?.[2];
        if (!its || valueOf(its) !== first.get(its) || valueOf(its) === value) continue;
        if (isTick(its)) its.checked = value;
        else its.value = value;
        for (let fold = its.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
        restored = true;
      }
    }
    if (restored) tell("What you had typed is still here, and not recorded yet.");
    keep();
  }

  function tell(words) {
    const told = document.createElement("p");
    told.className = "shell-told";
    told.setAttribute("role", "status");
    told.textContent = words;
    document.getElementById("main")?.prepend(told);
  }

  let soon;
  const keepSoon = () => {
    clearTimeout(soon);
    soon = setTimeout(keep, 150);
  };
  addEventListener("input", keepSoon);
  addEventListener("change", keepSoon);
  document.addEventListener("visibilitychange", keep);
  addEventListener("pagehide", keep);

  look(`/shell/hello?${new URLSearchParams({ page: location.pathname, word })}`);
})();
