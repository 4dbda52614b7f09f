// The page, its links and its forms.

const browserFetch = window.fetch.bind(window);

function whenParsed(action) {
  if (document.readyState !== "loading") action();
  else document.addEventListener("DOMContentLoaded", action, { once: true });
}

const isPostForm = (form) => form.getAttribute("method")?.toLowerCase() === "post";
const formUrl = (form) => new URL(form.getAttribute("action") ?? "", location.href);
const pathAndQuery = ({ pathname, search }) => pathname + search;

/** Follows the link to the next or the previous hole. */
function followLink(rel) {
  document.querySelector(`a[rel=${rel}]`)?.click();
}

/** Goes to an address, and loads it again if it is this page at another anchor. */
function navigate(address) {
  const target = new URL(address, location.href);
  if (target.hash && pathAndQuery(target) === pathAndQuery(location)) {
    history.replaceState(null, "", target);
    history.scrollRestoration = "manual"; // to the anchor, not to where the page was scrolled
    location.reload();
  } else {
    location.assign(target);
  }
}
