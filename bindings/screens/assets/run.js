// Steps between the holes of a tool run: arrow keys at the desk, a swipe on a phone. The links do
// the same without it, and the phone's volume keys follow them.

const SWIPE = 60; // px: less is a tap, or a hand that shakes

const go = (rel) => {
  const link = document.querySelector(`a[rel=${rel}]`);
  // The list stays one step in the browser's history, so that "back" leaves the run.
  if (link) location.replace(link.href);
};

const isField = (element) => element.closest("input, select, textarea, .scroll") !== null;

document.addEventListener("keydown", (event) => {
  const rel = { ArrowRight: "next", ArrowLeft: "prev" }[event.key];
  const modified = event.altKey || event.ctrlKey || event.metaKey || event.shiftKey;
  if (!rel || modified || event.defaultPrevented || isField(event.target)) return;
  event.preventDefault();
  go(rel);
});

let start = null;
addEventListener("touchstart", (event) => {
  const [touch] = event.touches;
  start = event.touches.length === 1 && !isField(event.target) ? [touch.clientX, touch.clientY] : null;
}, { passive: true });

addEventListener("touchend", (event) => {
  if (!start || visualViewport?.scale > 1) return; // a zoomed page is panned
  const [touch] = event.changedTouches;
  const [across, down] = [touch.clientX - start[0], touch.clientY - start[1]];
  start = null;
  if (Math.abs(across) < SWIPE || Math.abs(across) < 2 * Math.abs(down)) return;
  go(across < 0 ? "next" : "prev");
});
