// What was typed and not recorded yet. It is sent to the shell after each change, because Android
// may end the app at any moment.

const SAVE_DELAY_MS = 150;
const submittedForms = new WeakSet();
const initialValues = new Map(); // of each field
let savedDraft = "{}";
let saveTimer;

const isTypedField = ({ name, type }) => name && !["hidden", "file", "submit", "button"].includes(type);
const isCheckable = ({ type }) => ["checkbox", "radio"].includes(type);
const fieldValue = (field) => (isCheckable(field) ? field.checked : field.value);

/** The page's forms with their keys: address and index, the same when the page is loaded again. */
function keyedForms() {
  const counts = new Map();
  return [...document.forms].filter(isPostForm).map((form) => {
    const { pathname } = formUrl(form);
    const index = counts.get(pathname) ?? 0;
    counts.set(pathname, index + 1);
    return [`${pathname}#${index}`, form];
  });
}

/** The fields of a form, each with its name and its index among those of that name. */
function indexedFields(form) {
  const counts = new Map();
  return [...form.elements].filter(isTypedField).map((field) => {
    const index = counts.get(field.name) ?? 0;
    counts.set(field.name, index + 1);
    return [field.name, index, field];
  });
}

function readInitialValues() {
  for (const [, form] of keyedForms()) {
    // A form that was rejected comes back filled in, and none of that is recorded.
    const alert = document.querySelector("main [role=alert]");
    const isRejected = alert && formUrl(form).pathname === location.pathname;
    for (const [, , field] of indexedFields(form)) {
      const empty = isCheckable(field) ? false : "";
      initialValues.set(field, isRejected ? empty : fieldValue(field));
    }
  }
}

/** What was typed in each form: lists of field name, index and value. */
function currentDraft() {
  const draft = {};
  for (const [key, form] of keyedForms()) {
    if (submittedForms.has(form)) continue;
    const isChanged = (field) => initialValues.has(field) && fieldValue(field) !== initialValues.get(field);
    const changed = indexedFields(form).filter(([, , field]) => isChanged(field));
    if (changed.length) draft[key] = changed.map(([name, index, field]) => [name, index, fieldValue(field)]);
  }
  return draft;
}

function saveDraft() {
  const draft = currentDraft();
  const text = JSON.stringify(draft);
  if (text === savedDraft) return;
  savedDraft = text;
  send({ kind: "draft", page: location.pathname, draft: text === "{}" ? null : draft });
}

function saveDraftSoon() {
  clearTimeout(saveTimer);
  saveTimer = setTimeout(saveDraft, SAVE_DELAY_MS);
}

/** Fills a saved draft in, unless a field has been changed meanwhile. */
function restoreDraft(draft) {
  let isRestored = false;
  for (const [key, form] of keyedForms()) {
    const fields = indexedFields(form);
    for (const [name, index, value] of draft?.[key] ?? []) {
      const field = fields.find(([aName, anIndex]) => aName === name && anIndex === index)?.[2];
      if (!field || fieldValue(field) !== initialValues.get(field) || fieldValue(field) === value) continue;
      if (isCheckable(field)) field.checked = value;
      else field.value = value;
      openFoldsAround(field);
      isRestored = true;
    }
  }
  if (isRestored) showStatus("What you typed is still here, and not recorded yet.");
  saveDraft();
}

function openFoldsAround(field) {
  for (let fold = field.closest("details"); fold; fold = fold.parentElement.closest("details")) {
    fold.open = true;
  }
}

function showStatus(text) {
  const status = document.createElement("p");
  status.className = "shell-status";
  status.setAttribute("role", "status");
  status.textContent = text;
  document.getElementById("main")?.prepend(status);
}

whenParsed(() => {
  readInitialValues();
  saveDraft();
});
addEventListener("input", saveDraftSoon);
addEventListener("change", saveDraftSoon);
document.addEventListener("visibilitychange", saveDraft);
addEventListener("pagehide", saveDraft);
