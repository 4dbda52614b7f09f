// A second press of a button, with a glove or out of impatience, must not record the same thing twice.

let underWay = new WeakSet();

document.addEventListener("submit", (event) => {
  if (event.defaultPrevented) return; // a script of the page sends this one itself
  if (underWay.has(event.target)) event.preventDefault();
  underWay.add(event.target);
});

// Back on the page, whatever became of it, the form may be sent again.
addEventListener("pageshow", () => (underWay = new WeakSet()));
