// Updates the part of a page that shows progress, without reloading the page. At the end it reloads
// the page once, so that everything else on it is current too.

const INTERVAL_MS = 1000;

// Once the reader leaves the page, it must not reload: that would cancel where they are going.
let leaving = false;
for (const type of ["submit", "beforeunload"]) addEventListener(type, () => (leaving = true));
addEventListener("pageshow", () => (leaving = false));

async function poll() {
  const shown = document.querySelector("[data-follow]");
  if (!shown) return;
  try {
    const response = await fetch(location.href, { headers: { accept: "text/html" } });
    const page = new DOMParser().parseFromString(await response.text(), "text/html");
    const current = page.querySelector("[data-follow]");
    if (response.ok && !current && !leaving) return location.replace(location.pathname);
    if (current && current.innerHTML !== shown.innerHTML) update(shown, current);
  } catch {
    // The program does not answer: keep what is shown and try again.
  }
  setTimeout(poll, INTERVAL_MS);
}

/**
 * Replaces text and progress bars only, so that open folds and the keyboard focus stay as they are.
 */
function update(shown, current) {
  const parts = (root) => [...root.querySelectorAll("p, h2, h3, progress")];
  const [oldParts, newParts] = [parts(shown), parts(current)];
  if (oldParts.length !== newParts.length || shown.children.length !== current.children.length) {
    if (!shown.contains(document.activeElement)) shown.replaceChildren(...current.childNodes);
    return;
  }
  oldParts.forEach((part, index) => {
    if (part.outerHTML !== newParts[index].outerHTML) part.replaceWith(newParts[index]);
  });
}

setTimeout(poll, INTERVAL_MS);
