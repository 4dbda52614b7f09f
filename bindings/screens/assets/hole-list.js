// A hole's row and its badge on the photo point out each other, by mouse and by keyboard.

function pointOut(event, pointedOut) {
  const hole = event.target.closest?.("[data-hole]")?.dataset.hole;
  if (!hole) return;
  for (const element of document.querySelectorAll(`[data-hole="${CSS.escape(hole)}"]`)) {
    element.classList.toggle("pointed-out", pointedOut);
  }
}

for (const [name, pointedOut] of [["pointerover", true], ["pointerout", false], ["focusin", true], ["focusout", false]]) {
  document.addEventListener(name, (event) => pointOut(event, pointedOut));
}

// Once a hole is marked or graded on the page's photo, the list is shown as it is now. Answers may
// come in another order than they were asked for: only the last one counts.
let asked = 0;
document.addEventListener("recorded", async () => {
  const question = (asked += 1);
  const response = await fetch(location.href).catch(() => null);
  if (!response?.ok) return;
  const page = new DOMParser().parseFromString(await response.text(), "text/html");
  if (question !== asked) return;
  const [now, then] = [page, document].map((it) => it.getElementById("holes"));
  if (now && then) then.replaceWith(document.adoptNode(now));
});
