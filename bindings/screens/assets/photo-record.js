// Brings a mark to the notebook and lays what the notebook answers into the page.

const PARTS = ["marks", "mark-list", "next-mark", "last-mark"];

export class Recorder {
  constructor(path, said) {
    this.path = path;
    this.said = said;
    this.waiting = Promise.resolve();
  }

  say(words, problem = false) {
    this.said.classList.toggle("problem", problem);
    this.said.textContent = words;
  }

  /** Records one mark after the ones before it; true where it was recorded. */
  record(mark) {
    return this.queue(() => {
      const { hole, point, over } = mark();
      const form = new URLSearchParams({ hole, x_px: point.x.toFixed(2), y_px: point.y.toFixed(2) });
      for (const entry of over) form.append("over", entry);
      return this.send(this.path, form);
    });
  }

  /** Sends one of the page's small forms without leaving the page. */
  submit(form) {
    return this.queue(() => this.send(form.action, new URLSearchParams(new FormData(form))));
  }

  queue(send) {
    const answer = this.waiting.then(send);
    this.waiting = answer.then(() => {});
    return answer;
  }

  async send(path, form) {
    form.set("part", "1");
    try {
      const response = await fetch(path, { method: "POST", body: form });
      const page = new DOMParser().parseFromString(await response.text(), "text/html");
      if (!response.ok) {
        const sentence = page.querySelector("[role=alert]")?.textContent;
        this.say(sentence ?? `Nothing was recorded: the notebook answered ${response.status}.`, true);
        return false;
      }
      lay(page);
      this.say(document.querySelector("#last-mark p").textContent);
      return true;
    } catch {
      this.say("Nothing was recorded: the notebook did not answer. Look whether its program still runs.", true);
      return false;
    }
  }
}

/** Puts the answer's parts where the page has them, with the focus where it was, or on the photo. */
function lay(page) {
  const focused = document.activeElement;
  const hole = focused.closest?.(".mark")?.dataset.hole;
  for (const id of PARTS) {
    const fresh = page.getElementById(id);
    const old = document.getElementById(id);
    if (fresh && old) old.replaceWith(document.adoptNode(fresh));
  }
  if (focused.isConnected) return;
  const same = hole && document.querySelector(`.mark[data-hole="${CSS.escape(hole)}"]`);
  (same || document.querySelector(".stage")).focus({ preventScroll: true });
}
