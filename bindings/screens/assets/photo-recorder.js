// Sends marks to the notebook and puts the parts of the page that it returns in place.

const PART_IDS = ["marks", "mark-list", "next-mark", "grade", "find-others"];

export class Recorder {
  constructor(path, status) {
    this.path = path;
    this.status = status;
    this.previous = Promise.resolve();
  }

  /** Shows a message above the photo. */
  show(message, isProblem = false) {
    this.status.classList.toggle("problem", isProblem);
    this.status.textContent = message;
  }

  /** Records one mark, after those before it; resolves to whether it was recorded. */
  record(mark) {
    return this.enqueue(() => {
      const { hole, point, replaces } = mark();
      const form = new URLSearchParams({ hole, x_px: point.x.toFixed(2), y_px: point.y.toFixed(2) });
      for (const entry of replaces) form.append("replaces", entry);
      return this.send(this.path, form);
    });
  }

  /** Sends one of the page's small forms, with the button that was pressed, without leaving the page. */
  submit(form, button) {
    const fields = new URLSearchParams(new FormData(form));
    if (button?.name) fields.append(button.name, button.value);
    return this.enqueue(() => this.send(form.action, fields));
  }

  enqueue(task) {
    const result = this.previous.then(task);
    this.previous = result.then(() => {});
    return result;
  }

  async send(path, form) {
    form.set("part", "1");
    try {
      const response = await fetch(path, { method: "POST", body: form });
      const page = new DOMParser().parseFromString(await response.text(), "text/html");
      if (!response.ok) {
        const reason = page.querySelector("[role=alert]")?.textContent;
        this.show(reason ?? `Nothing was recorded: the notebook returned error ${response.status}.`, true);
        return false;
      }
      replaceParts(page);
      document.dispatchEvent(new Event("recorded"));
      this.show(document.querySelector("#grade .last-mark p").textContent);
      return true;
    } catch {
      this.show("Nothing was recorded: the notebook does not answer. Check that Holebook is still running.", true);
      return false;
    }
  }
}

/**
 * Replaces the parts that the notebook returned; keeps the focus on its badge, or moves it to the
 * photo.
 */
function replaceParts(page) {
  const focused = document.activeElement;
  const hole = focused.closest?.(".mark")?.dataset.hole;
  for (const id of PART_IDS) {
    const current = document.getElementById(id);
    const replacement = page.getElementById(id);
    if (current && replacement) current.replaceWith(document.adoptNode(replacement));
  }
  if (focused.isConnected) return;
  const mark = hole && document.querySelector(`.mark[data-hole="${CSS.escape(hole)}"]`);
  (mark || document.querySelector(".viewport")).focus({ preventScroll: true });
}
