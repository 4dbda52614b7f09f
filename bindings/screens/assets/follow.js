// Renews the part of a page that says how far something is, without loading the page anew. When it is over, the page is
// loaded once more, so that all of it is as things are now.

const pause = 1000;

// A person who goes on from the page is not called back to it: what they pressed may be on its way for a while, and
// loading this page anew would take its place.
let leaving = false;
for (const sign of ["submit", "beforeunload"]) addEventListener(sign, () => (leaving = true));
addEventListener("pageshow", () => (leaving = false));

async function look() {
  const shown = document.querySelector("[data-follow]");
  if (!shown) return;
  try {
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const now = page.querySelector("[data-follow]");
    if (answer.ok && !now && !leaving) return location.replace(location.pathname);
    if (now && now.innerHTML !== shown.innerHTML) renew(shown, now);
  } catch {
    // The program does not answer just now: what is shown stays, and it is asked again.
  }
  setTimeout(look, pause);
}

/// What a person has folded open, or stands on with the keyboard, stays where it is: only words and bars are renewed.
function renew(shown, now) {
  const parts = (of) => [...of.querySelectorAll("p, h2, h3, progress")];
  const [old, fresh] = [parts(shown), parts(now)];
  if (old.length !== fresh.length || shown.children.length !== now.children.length) {
    if (!shown.contains(document.activeElement)) shown.replaceChildren(...now.childNodes);
    return;
  }
  old.forEach((part, at) => {
    if (part.outerHTML !== fresh[at].outerHTML) part.replaceWith(fresh[at]);
  });
}

setTimeout(look, pause);
