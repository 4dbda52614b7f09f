// The photo of a face: look round in it, and mark its holes by touch, mouse or keys.

import { Hand } from "./photo-hand.js";
import { Keys } from "./photo-keys.js";
import { Loupe } from "./photo-loupe.js";
import { Recorder } from "./photo-record.js";
import { View, placeOf, put } from "./photo-view.js";

const WORDS = {
  look: "Drag and zoom to look round. A plate opens its hole.",
  mark: "Press on a hole, slide to its centre, let go.",
};

class Marking {
  constructor(root) {
    this.root = root;
    this.stage = root.querySelector(".stage");
    const { width, height, original, record } = root.dataset;
    const sheet = this.stage.querySelector(".marked");
    this.view = new View(this.stage, sheet, Number(width), Number(height));
    this.picture = sheet.querySelector("img");
    this.loupe = new Loupe(this.view, this.picture, original);
    this.recorder = new Recorder(record, root.querySelector(".said"));
    /** The point that is being marked, and the plate that is being moved there, if there is one. */
    this.aim = null;
    this.cross = makeCrosshair();
    this.stage.append(this.cross);
    this.open();
  }

  open() {
    const { root, stage, view } = this;
    root.classList.add("live");
    root.querySelector(".tools").hidden = false;
    stage.tabIndex = 0;
    stage.setAttribute("role", "application");
    stage.style.aspectRatio = `${view.width} / ${view.height}`;
    for (const button of root.querySelectorAll("[data-mode-button]")) {
      button.addEventListener("click", () => this.turn(button.dataset.modeButton));
    }
    for (const button of root.querySelectorAll("[data-zoom]")) {
      button.addEventListener("click", () => this.zoom(button.dataset.zoom));
    }
    document.addEventListener("submit", (event) => {
      if (!event.target.matches("form[data-part]")) return;
      event.preventDefault();
      this.recorder.submit(event.target);
    });
    this.hand = new Hand(this);
    this.keys = new Keys(this);
    view.onchange = () => this.laid();
    view.fit();
    new ResizeObserver(() => (this.whole ? view.fit() : view.lay())).observe(stage);
    this.turn(root.dataset.mode);
  }

  get marks() {
    return this.mode === "mark";
  }

  turn(mode) {
    const asked = this.mode !== undefined; // not the mode the page begins in
    this.mode = mode;
    this.drop();
    this.root.classList.toggle("marks-holes", this.marks);
    for (const button of this.root.querySelectorAll("[data-mode-button]")) {
      button.setAttribute("aria-pressed", String(button.dataset.modeButton === mode));
    }
    this.recorder.say(WORDS[mode]);
    this.laid();
    if (!this.marks) return;
    this.loupe.load();
    if (asked) this.stage.scrollIntoView({ block: "nearest" });
  }

  zoom(way) {
    if (way === "fit") this.view.fit();
    else this.view.zoomAtCentre(way === "in" ? 1.5 : 1 / 1.5);
  }

  /** After the picture moved. A picture seen whole lets one finger scroll the page past it. */
  laid() {
    this.whole = this.view.fitted;
    this.stage.style.touchAction = !this.marks && this.whole ? "pan-y" : "none";
    this.sharpen();
    if (this.aim) this.showAim();
  }

  /** Looked at closely, the smaller view is too coarse: the photo itself takes its place. */
  async sharpen() {
    const { picture, view } = this;
    if (this.sharp || view.zoom * view.width < 1.5 * picture.naturalWidth) return;
    const original = await this.loupe.load();
    if (!original) return;
    this.sharp = true;
    picture.src = original.src;
  }

  /** Aims at a point of the picture; `clear` is how far above it the finger or pointer reaches. */
  aimAt(aim) {
    this.aim = aim;
    if (aim.mark) put(aim.mark, aim.point, this.view);
    this.showAim();
  }

  showAim() {
    const at = this.view.toStage(this.aim.point);
    this.cross.style.transform = `translate(${at.x}px, ${at.y}px)`;
    this.cross.style.display = "";
    this.loupe.show(this.aim.point, this.aim.clear);
  }

  /** Gives up what is under way; a plate that was moved goes back to where it is recorded. */
  drop() {
    const mark = this.aim?.mark;
    if (mark) put(mark, placeOf(mark), this.view);
    this.hide();
  }

  hide() {
    this.aim = null;
    this.cross.style.display = "none";
    this.loupe.hide();
  }

  /** Records the point aimed at: a plate's new place, or the next hole's mark. */
  async record() {
    const { mark, point } = this.aim;
    this.hide();
    const done = await this.recorder.record(() => ({
      hole: mark ? mark.dataset.hole : this.root.querySelector("#next-mark select").value,
      over: mark?.dataset.over?.split(" ").filter(Boolean) ?? [],
      point,
    }));
    if (!done && mark?.isConnected) put(mark, placeOf(mark), this.view);
  }
}

function makeCrosshair() {
  const names = "http://www.w3.org/2000/svg";
  const cross = document.createElementNS(names, "svg");
  cross.setAttribute("class", "aim");
  cross.setAttribute("aria-hidden", "true");
  for (const shade of ["light", "dark"]) {
    const path = document.createElementNS(names, "path");
    path.setAttribute("class", shade);
    path.setAttribute("d", "M-30 0H-8M8 0H30M0-30V-8M0 8V30");
    cross.append(path);
  }
  return cross;
}

for (const root of document.querySelectorAll(".marking")) new Marking(root);
