// Sends each form once: a second press of its button, in gloves or out of impatience, must not
// record the same thing twice.

let submitted = new WeakSet();

document.addEventListener("submit", (event) => {
  if (event.defaultPrevented) return; // another script of the page sends this form itself
  if (submitted.has(event.target)) event.preventDefault();
  submitted.add(event.target);
});

// After "back" the same page may show again; its forms can then be sent again.
addEventListener("pageshow", () => (submitted = new WeakSet()));
