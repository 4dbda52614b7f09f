// Touch and mouse on the photo: one finger or the mouse pans or marks, two fingers pinch, the wheel
// zooms.

import { recordedPosition } from "./photo-viewport.js";

const TAP_SLACK = 6; // pixels: a touch that moves less is a tap
const FINGER_CLEARANCE = 64; // pixels: how far above its point a finger hides the picture
const MOUSE_CLEARANCE = 24;
const DOUBLE_TAP_MS = 320;
const DOUBLE_TAP_DISTANCE = 30;

export class PointerInput {
  constructor(marking) {
    this.marking = marking;
    this.viewport = marking.viewport;
    this.element = marking.element;
    this.pointers = new Map();
    this.gesture = null; // { kind: "pan" | "aim" | "pinch", … }
    const { element } = this;
    element.addEventListener("pointerdown", (event) => this.down(event));
    element.addEventListener("pointermove", (event) => this.move(event));
    element.addEventListener("pointerup", (event) => this.up(event));
    element.addEventListener("pointercancel", (event) => this.cancel(event));
    element.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    element.addEventListener("click", (event) => this.click(event), true);
    element.addEventListener("dragstart", (event) => event.preventDefault());
    element.addEventListener("contextmenu", (event) => marking.isMarking && event.preventDefault());
  }

  down(event) {
    if (event.pointerType === "mouse" && event.button > 1) return;
    if (this.pointers.size === 0) this.dragged = false;
    this.pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (this.pointers.size > 1) {
      this.marking.cancel();
      this.dragged = true;
      this.gesture = { kind: "pinch", ...this.fingers() };
      return;
    }
    const aims = this.marking.isMarking && event.button === 0;
    this.gesture = { kind: aims ? "aim" : "pan", startX: event.clientX, startY: event.clientY };
    if (aims) this.startAim(event);
    else if (event.button === 1) event.preventDefault(); // the browser would scroll by itself
  }

  startAim(event) {
    event.preventDefault();
    this.marking.cancel();
    const mark = event.target.closest(".mark");
    (mark ?? this.element).focus({ preventScroll: true });
    this.element.setPointerCapture(event.pointerId);
    const touch = event.pointerType !== "mouse";
    const point = mark ? recordedPosition(mark) : this.viewport.toPicture(event.clientX, event.clientY);
    const aim = { mark, point, clearance: touch ? FINGER_CLEARANCE : MOUSE_CLEARANCE };
    Object.assign(this.gesture, { aim, touch, time: event.timeStamp });
    // A badge moves only once the touch is a drag.
    if (!mark) this.marking.aimAt(aim);
  }

  move(event) {
    const { gesture } = this;
    const before = this.pointers.get(event.pointerId);
    if (!before || !gesture) return;
    const distance = Math.hypot(event.clientX - gesture.startX, event.clientY - gesture.startY);
    const maybeTap = !this.dragged && distance < TAP_SLACK;
    if (maybeTap && !(gesture.kind === "aim" && !gesture.aim.mark)) return;
    if (!maybeTap) this.dragged = true;
    const [dx, dy] = [event.clientX - before.x, event.clientY - before.y];
    this.pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (gesture.kind === "pinch") this.pinch();
    else if (gesture.kind === "aim") this.moveAim(event, dx, dy);
    else this.pan(event, dx, dy);
  }

  pan(event, dx, dy) {
    // Captured only now: the click of a tap must still reach the badge under it.
    if (!this.element.hasPointerCapture(event.pointerId)) this.element.setPointerCapture(event.pointerId);
    this.viewport.panBy(dx, dy);
  }

  /** The distance of two fingers, and the point between them. */
  fingers() {
    const [a, b] = [...this.pointers.values()];
    return { distance: Math.hypot(a.x - b.x, a.y - b.y) || 1, x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
  }

  pinch() {
    if (this.pointers.size < 2) return;
    const now = this.fingers();
    const { distance, x, y } = this.gesture;
    this.viewport.panBy(now.x - x, now.y - y);
    this.viewport.zoomAt(now.distance / distance, now.x, now.y);
    Object.assign(this.gesture, now);
  }

  /**
   * Moves the aim: with a mouse exactly; with a finger finely if it is slow, one to one if it is
   * quick.
   */
  moveAim(event, dx, dy) {
    const { gesture, viewport } = this;
    const elapsed = Math.max(1, event.timeStamp - gesture.time);
    gesture.time = event.timeStamp;
    const speed = Math.hypot(dx, dy) / elapsed;
    const gain = gesture.touch ? Math.min(1, Math.max(0.25, speed / 0.4)) : 1;
    const { x, y } = gesture.aim.point;
    gesture.aim.point = { x: x + (dx * gain) / viewport.zoom, y: y + (dy * gain) / viewport.zoom };
    this.marking.aimAt(gesture.aim);
  }

  up(event) {
    if (!this.pointers.delete(event.pointerId)) return;
    const { gesture } = this;
    if (gesture?.kind === "pinch" && this.pointers.size > 0) return;
    this.gesture = null;
    if (gesture?.kind === "aim") this.release(event, gesture.aim);
    if (gesture?.kind === "pan" && !this.dragged) this.tap(event);
  }

  /** Records where the aim is let go, unless that is outside the picture. */
  release(event, { mark, point }) {
    if (this.marking.aim === null) return; // only touched, or canceled by a key
    const box = this.element.getBoundingClientRect();
    const inside = event.clientX >= box.left && event.clientX <= box.right
      && event.clientY >= box.top && event.clientY <= box.bottom;
    if (inside && this.viewport.contains(point)) {
      this.marking.record();
    } else {
      this.marking.cancel();
      const outcome = mark ? "the mark is where it was" : "nothing was recorded";
      this.marking.recorder.show(`Let go outside the picture: ${outcome}.`);
    }
  }

  /** Zooms in on a double tap. */
  tap(event) {
    const { lastTap } = this;
    this.lastTap = { time: event.timeStamp, x: event.clientX, y: event.clientY };
    if (!lastTap || event.target.closest(".mark")) return;
    const near = Math.hypot(lastTap.x - event.clientX, lastTap.y - event.clientY) < DOUBLE_TAP_DISTANCE;
    if (!near || event.timeStamp - lastTap.time > DOUBLE_TAP_MS) return;
    this.lastTap = null;
    this.viewport.zoomAt(2.5, event.clientX, event.clientY);
  }

  cancel(event) {
    this.pointers.delete(event.pointerId);
    if (this.gesture?.kind === "aim") this.marking.cancel();
    this.gesture = null;
  }

  /**
   * Lets a tap on a badge open its hole in Look; not a drag that ends on one, nor a tap in Mark.
   */
  click(event) {
    const byPointer = event.detail > 0; // 0 from keys and screen readers
    if (byPointer && (this.dragged || this.marking.isMarking)) event.preventDefault();
  }

  wheel(event) {
    if (event.deltaY > 0 && this.viewport.isFitted) return; // cannot zoom out further: scroll the page
    event.preventDefault();
    const pixels = event.deltaMode === 1 ? event.deltaY * 16 : event.deltaY;
    this.viewport.zoomAt(Math.exp(-pixels * 0.002), event.clientX, event.clientY);
  }
}
