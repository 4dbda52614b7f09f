// The keypad of a question: it types into the field that was touched last, and the phone's own
// keyboard stays away. Keys of a real keyboard type as usual.

// A reason is words: it keeps the usual keyboard.
const fieldsOf = (form) => [...form.querySelectorAll(".field input:not([type=hidden], [type=radio], .question *)")];

for (const keypad of document.querySelectorAll(".keypad")) {
  const form = keypad.closest("form");
  const fields = fieldsOf(form);
  if (fields.length === 0) continue;
  keypad.hidden = false;
  let current = fields.find((field) => field.value === "") ?? fields[0];
  const use = (field) => {
    current = field;
    for (const other of fields) other.classList.toggle("keyed", other === field);
  };
  for (const field of fields) {
    field.inputMode = "none";
    field.addEventListener("focus", () => {
      if (field !== current) field.select();
      use(field);
    });
  }
  use(current);
  keypad.addEventListener("click", (event) => {
    const key = event.target.closest("button")?.dataset;
    if (!key) return;
    if (!current.checkVisibility()) use(fields.find((field) => field.checkVisibility()));
    type(current, key);
    current.dispatchEvent(new Event("input", { bubbles: true }));
  });
}

/** Types one key: it replaces what is selected, and otherwise comes at the cursor. */
function type(field, key) {
  const [start, end] = [field.selectionStart ?? field.value.length, field.selectionEnd ?? field.value.length];
  const put = (text, from = start) => field.setRangeText(text, from, end, "end");
  if ("back" in key) put("", start === end ? Math.max(0, start - 1) : start);
  else if (key.unit) field.value = withUnit(field.value, key.unit);
  else if (key.fraction) put((/\d$/.test(field.value.slice(0, start)) ? "-" : "") + key.fraction);
  else put(key.key);
}

/** The number with the unit behind it, or without if it was there. */
function withUnit(text, unit) {
  const number = text.replace(/\s*(in|mm)$/, "");
  return text.endsWith(unit) ? number : `${number} ${unit}`;
}

// The crater's edge follows the finger, and its diameter goes into the field.
for (const picture of document.querySelectorAll(".crater-picture")) {
  const field = picture.closest("form").elements[picture.dataset.sets];
  const edge = picture.querySelector(".crater");
  const inches = picture.dataset.unit === "in";
  picture.removeAttribute("hidden");
  const follow = (event) => {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(picture.getScreenCTM().inverse());
    const [step, mm] = inches ? [1 / 32, 25.4] : [0.5, 1];
    const steps = Math.max(1, Math.round((2 * Math.hypot(at.x, at.y)) / mm / step));
    edge.setAttribute("r", (steps * step * mm) / 2);
    field.value = inches ? fraction(steps) : String(steps * step);
    field.dispatchEvent(new Event("input", { bubbles: true }));
  };
  picture.addEventListener("pointerdown", (event) => {
    picture.setPointerCapture(event.pointerId);
    follow(event);
  });
  picture.addEventListener("pointermove", (event) => {
    if (picture.hasPointerCapture(event.pointerId)) follow(event);
  });
}

/** Thirty-seconds as a shop writes them: 1-1/4. */
function fraction(thirtySeconds) {
  const whole = Math.floor(thirtySeconds / 32);
  let [over, under] = [thirtySeconds % 32, 32];
  while (over > 0 && over % 2 === 0) [over, under] = [over / 2, under / 2];
  if (over === 0) return String(whole);
  return `${whole > 0 ? `${whole}-` : ""}${over}/${under}`;
}
