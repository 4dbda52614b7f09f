// The photo by keys alone: the crosshair goes by arrows, Enter records. The page lists them under "Keys".

import { placeOf } from "./photo-view.js";

const CLEAR = 24;
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const ZOOMS = { "+": "in", "=": "in", "-": "out", "0": "fit" };
const MODES = { l: "look", m: "mark" };

export class Keys {
  constructor(marking) {
    this.marking = marking;
    marking.stage.addEventListener("keydown", (event) => this.key(event));
    // What the keys were moving and did not record goes back when the focus leaves it.
    marking.stage.addEventListener("focusout", () => marking.hand.gesture || marking.drop());
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (this.act(event)) event.preventDefault();
  }

  /** Does what the key says; false where it means nothing here and the browser may have it. */
  act(event) {
    const { marking } = this;
    const arrow = ARROWS[event.key];
    if (ZOOMS[event.key]) marking.zoom(ZOOMS[event.key]);
    else if (MODES[event.key]) marking.turn(MODES[event.key]);
    else if (event.key === "Escape") this.escape();
    else if (arrow && marking.marks) this.step(event, arrow);
    else if (arrow) marking.view.panBy(-60 * arrow[0], -60 * arrow[1]);
    else if (event.key === "Enter" && marking.aim) marking.record();
    else return false;
    return true;
  }

  step(event, [dx, dy]) {
    const { marking } = this;
    const { view } = marking;
    const mark = event.target.closest(".mark");
    const far = event.shiftKey ? 20 : 1;
    const from = marking.aim?.point ?? (mark ? placeOf(mark) : view.centre());
    const within = (value, most) => Math.min(most, Math.max(0, value));
    const point = { x: within(from.x + dx * far, view.width), y: within(from.y + dy * far, view.height) };
    marking.aimAt({ mark, point, clear: CLEAR });
    view.show(point);
  }

  escape() {
    const { marking } = this;
    if (marking.aim) {
      marking.drop();
      marking.recorder.say("Left as it was: nothing was recorded.");
    } else if (marking.marks) {
      marking.turn("look");
    } else {
      marking.root.querySelector("[data-mode-button]").focus();
    }
  }
}
