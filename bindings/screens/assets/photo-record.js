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
    const answer = this.waiting.then(() => this.send(mark()));
    this.waiting = answer.then(() => {});
    return answer;
  }

  async send({ hole, point, over }) {
    const form = new URLSearchParams({ hole, part: "1" });
    form.set("x_px", point.x.toFixed(2));
    form.set("y_px", point.y.toFixed(2));
    for (const entry of over) form.append("over", entry);
    try {
      const response = await fetch(this.path, { method: "POST", body: form });
      const page = new DOMParser().parseFromString(await response.text(), "text/html");
      if (!response.ok) {
        const sentence = page.querySelector("[role=alert]")?.textContent;
        this.say(sentence ?? `Not recorded: the notebook answered ${response.status}.`, true);
        return false;
      }
      lay(page);
      this.say(document.querySelector("#last-mark [data-words]")?.dataset.words ?? "Recorded.");
      return true;
    } catch {
      this.say("Not recorded: the notebook did not answer. Look whether its program still runs.", true);
      return false;
    }
  }
}

/** Puts the answer's parts where the page has them, with the focus where it was. */
function lay(page) {
  const focused = document.activeElement?.closest?.(".mark")?.dataset.hole;
  for (const id of PARTS) {
    const fresh = page.getElementById(id);
    const old = document.getElementById(id);
    if (fresh && old) old.replaceWith(document.adoptNode(fresh));
  }
  if (focused) document.querySelector(`.mark[data-hole="${CSS.escape(focused)}"]`)?.focus();
}
