// What was typed and not recorded yet survives a reload of the page. It stays in this browser tab,
// and is forgotten once its form is sent. (The phone's app keeps drafts itself.)

const PREFIX = "draft ";
/** Pages whose forms are about work. Settings, keys and codes are not kept. */
const KEPT = /^\/(casting|face|hole)(\/|$)/;
const initialValues = new Map(); // of each field

const isTyped = ({ name, type }) => name && !["hidden", "file", "submit", "button", "password"].includes(type);
const isCheckable = ({ type }) => ["checkbox", "radio"].includes(type);
const valueOf = (field) => (isCheckable(field) ? field.checked : field.value);

/** The page's forms with their keys: address and index, the same when the page is loaded again. */
function keyedForms() {
  const counts = new Map();
  const keyed = [];
  for (const form of document.forms) {
    const { pathname } = new URL(form.action);
    if (form.method !== "post" || form.dataset.part || !KEPT.test(pathname)) continue;
    const index = counts.get(pathname) ?? 0;
    counts.set(pathname, index + 1);
    keyed.push([`${PREFIX}${pathname}#${index}`, form]);
  }
  return keyed;
}

const fieldsOf = (form) => [...form.elements].filter(isTyped);

/** Keeps the fields of a form that were changed, each with its index and name. */
function keep(key, form) {
  const changed = [];
  for (const [index, field] of fieldsOf(form).entries()) {
    if (initialValues.has(field) && valueOf(field) !== initialValues.get(field)) changed.push([index, field.name, valueOf(field)]);
  }
  if (changed.length) sessionStorage.setItem(key, JSON.stringify(changed));
  else sessionStorage.removeItem(key);
}

/** Fills in what was kept; returns whether anything was. */
function restore(key, form) {
  const kept = JSON.parse(sessionStorage.getItem(key) ?? "[]");
  const fields = fieldsOf(form);
  let isRestored = false;
  for (const [index, name, value] of kept) {
    const field = fields[index];
    if (field?.name !== name || valueOf(field) === value) continue;
    if (isCheckable(field)) field.checked = value;
    else field.value = value;
    for (let fold = field.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    isRestored = true;
  }
  return isRestored;
}

function showStatus(keys) {
  const status = document.createElement("p");
  status.className = "draft-status";
  status.setAttribute("role", "status");
  status.textContent = "What you typed is still here, and not recorded yet. ";
  const discard = document.createElement("button");
  discard.type = "button";
  discard.textContent = "Discard";
  discard.addEventListener("click", () => {
    for (const key of keys) sessionStorage.removeItem(key);
    location.reload();
  });
  status.append(discard);
  document.getElementById("main")?.prepend(status);
}

function start() {
  const isRejected = document.querySelector("main [role=alert]") !== null;
  const restored = [];
  for (const [key, form] of keyedForms()) {
    // A form that was rejected comes back filled in, and none of that is recorded.
    const comesBack = isRejected && new URL(form.action).pathname === location.pathname;
    for (const field of fieldsOf(form)) {
      initialValues.set(field, comesBack ? (isCheckable(field) ? false : "") : valueOf(field));
    }
    if (!comesBack && restore(key, form)) restored.push(key);
  }
  if (restored.length) showStatus(restored);
}

function keepFormOf({ target }) {
  const found = keyedForms().find(([, form]) => form === target.form);
  if (found) keep(...found);
}

try {
  start();
  addEventListener("input", keepFormOf);
  addEventListener("change", keepFormOf);
  document.addEventListener("submit", ({ target, defaultPrevented }) => {
    const found = !defaultPrevented && keyedForms().find(([, form]) => form === target);
    if (found) sessionStorage.removeItem(found[0]);
  });
} catch {
  // The browser keeps nothing for this page; forms work the same without.
}
