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
