// The photo by keyboard: arrows move the crosshair, Enter records, a letter grades. The page lists
// the keys.

import { recordedPosition } from "./photo-viewport.js";

const LOUPE_CLEARANCE = 24;
const STEP = 1; // pixels of the picture
const SHIFT_STEP = 20;
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const ZOOMS = { "+": "in", "=": "in", "-": "out", "0": "fit" };

export class KeyboardInput {
  constructor(marking) {
    this.marking = marking;
    marking.element.addEventListener("keydown", (event) => this.keyDown(event));
    // A badge that was moved by keys and not recorded goes back when the focus leaves it.
    marking.element.addEventListener("focusout", () => marking.pointerInput.gesture || marking.cancel());
  }

  keyDown(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (this.handle(event)) event.preventDefault();
  }

  /**
   * Does what the key is for; returns false if it is for nothing here, so that the browser gets it.
   */
  handle(event) {
    const { marking } = this;
    const arrow = ARROWS[event.key];
    if (ZOOMS[event.key]) marking.zoom(ZOOMS[event.key]);
    else if (event.key === "Escape") this.escape();
    else if (arrow) this.moveAim(event, arrow);
    else if (event.key === "Enter" && marking.aim) marking.record();
    else return event.key.length === 1 && marking.grade(event.key.toUpperCase());
    return true;
  }

  moveAim(event, [dx, dy]) {
    const { marking } = this;
    const { viewport } = marking;
    const mark = event.target.closest(".mark");
    const step = event.shiftKey ? SHIFT_STEP : STEP;
    const from = marking.aim?.point ?? (mark ? recordedPosition(mark) : viewport.center());
    const clamp = (value, max) => Math.min(max, Math.max(0, value));
    const point = { x: clamp(from.x + dx * step, viewport.width), y: clamp(from.y + dy * step, viewport.height) };
    marking.aimAt({ mark, point, clearance: LOUPE_CLEARANCE });
    viewport.reveal(point);
  }

  /** Cancels the aim; then leaves the photo. */
  escape() {
    const { marking } = this;
    if (marking.aim) {
      marking.cancel();
      marking.recorder.show("Canceled: nothing was recorded.");
    } else {
      marking.root.querySelector("[data-zoom]").focus();
    }
  }
}
