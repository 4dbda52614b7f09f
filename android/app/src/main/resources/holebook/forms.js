// Forms and downloads. A WebView does not hand the shell the body of a request, so a form is sent
// as a message instead.

// On window, after the page's own listeners: a form that a script of the page handles is left to
// it.
addEventListener("submit", async (event) => {
  const form = event.target;
  if (event.defaultPrevented || !isPostForm(form)) return;
  event.preventDefault();
  const fields = fieldsOf(form, event.submitter);
  const isFile = ([, value]) => value instanceof File;
  document.body.setAttribute("aria-busy", "true"); // a photo takes a second or two
  const reply = await submit({
    target: pathAndQuery(formUrl(form)),
    form: fields.filter((field) => !isFile(field)),
    files: fields.filter((field) => isFile(field) && field[1].name).map(([name, file]) => [name, file.name]),
    waiting: form.dataset.waiting ?? "",
  });
  submittedForms.add(form);
  saveDraft();
  navigate(reply.location);
});

/** What a form sends, with the button that was pressed, or the place that was pressed in a picture. */
function fieldsOf(form, submitter) {
  const fields = [...new FormData(form, submitter)];
  // A WebView older than 2023 leaves the button out.
  const isMissing = submitter?.name && submitter.type !== "image" && !fields.some(([name]) => name === submitter.name);
  if (isMissing) fields.push([submitter.name, submitter.value]);
  return fields;
}

addEventListener("pageshow", () => document.body.removeAttribute("aria-busy"));

// What a browser would download, the phone shares: other apps can save or send it.
addEventListener("click", async (event) => {
  const link = event.target.closest?.("a[download]");
  if (!link || event.defaultPrevented) return;
  event.preventDefault();
  const form = [
    ["address", pathAndQuery(new URL(link.href))],
    ["back", pathAndQuery(location)],
  ];
  const reply = await submit({ target: "/shell/share-file", form, files: [] });
  navigate(reply.location);
});

// What the page's scripts send with fetch.
window.fetch = async (resource, options = {}) => {
  const method = (options.method ?? resource.method ?? "GET").toUpperCase();
  const url = new URL(resource.url ?? resource, location.href);
  if (method !== "POST" || url.origin !== location.origin) return browserFetch(resource, options);
  const form = [...new URLSearchParams(options.body)];
  const reply = await submit({ target: pathAndQuery(url), form, fragment: true });
  if (reply.location) return browserFetch(reply.location);
  const headers = { "content-type": reply.type };
  return new Response(reply.body || null, { status: reply.status, headers });
};
