// Touch and mouse on the photo. Press and hold aims, and letting go marks: a swipe, a scroll or a
// pinch never marks. With a mouse a click marks, too. A swipe or drag moves the photo, two fingers
// pinch, the wheel zooms.

import { recordedPosition } from "./photo-viewport.js";

const HOLD_MS = 350; // a press that rests so long aims
const TAP_SLACK = 8; // pixels: a touch that moves less is a tap or a hold
const FINGER_CLEARANCE = 64; // pixels: how far above its point a finger hides the picture
const MOUSE_CLEARANCE = 24;
const FINGER_REACH = 16; // pixels: how near a press is to the hole that it means
const MOUSE_REACH = 9;
const DOUBLE_TAP_MS = 320;
const DOUBLE_TAP_DISTANCE = 30;

export class PointerInput {
  constructor(marking) {
    this.marking = marking;
    this.viewport = marking.viewport;
    this.element = marking.element;
    this.pointers = new Map();
    this.gesture = null; // { kind: "press" | "pan" | "aim" | "pinch", … }
    const { element } = this;
    element.addEventListener("pointerdown", (event) => this.down(event));
    element.addEventListener("pointermove", (event) => this.move(event));
    element.addEventListener("pointerup", (event) => this.up(event));
    element.addEventListener("pointercancel", (event) => this.cancel(event));
    element.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    element.addEventListener("click", (event) => this.click(event), true);
    element.addEventListener("dragstart", (event) => event.preventDefault());
    element.addEventListener("contextmenu", (event) => event.preventDefault());
    // While a finger aims, the browser must not scroll the page with it.
    element.addEventListener("touchmove", (event) => this.gesture?.kind === "aim" && event.preventDefault(), { passive: false });
  }

  down(event) {
    if (event.pointerType === "mouse" && event.button > 1) return;
    this.pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    clearTimeout(this.hold);
    if (this.pointers.size > 1) {
      this.marking.cancel();
      this.dragged = true;
      this.gesture = { kind: "pinch", ...this.fingers() };
      return;
    }
    this.dragged = false;
    const touch = event.pointerType !== "mouse";
    const start = { startX: event.clientX, startY: event.clientY, touch };
    if (event.button === 1) {
      event.preventDefault(); // the browser would scroll by itself
      this.gesture = { kind: "pan", ...start };
      return;
    }
    const mark = this.markAt(event.clientX, event.clientY, touch);
    const onBadge = event.target.closest(".mark") !== null;
    const gesture = { kind: "press", mark, onBadge, pointer: event.pointerId, ...start };
    this.gesture = gesture;
    this.hold = setTimeout(() => this.gesture === gesture && this.startAim(gesture), HOLD_MS);
  }

  /**
   * The mark whose hole is pressed. A press on a badge is none: another hole may be under it.
   */
  markAt(clientX, clientY, touch) {
    const reach = touch ? FINGER_REACH : MOUSE_REACH;
    const pressed = this.viewport.toPicture(clientX, clientY);
    const away = (mark) => distance(recordedPosition(mark), pressed) * this.viewport.zoom;
    const [nearest] = [...this.element.querySelectorAll(".mark")].sort((a, b) => away(a) - away(b));
    return nearest && away(nearest) <= reach ? nearest : null;
  }

  /** Aims at the point that is pressed, or picks up the mark that is. */
  startAim(gesture) {
    clearTimeout(this.hold);
    const { mark, touch, startX, startY } = gesture;
    this.marking.cancel();
    (mark ?? this.element).focus({ preventScroll: true });
    this.element.setPointerCapture(gesture.pointer);
    const point = mark ? recordedPosition(mark) : this.viewport.toPicture(startX, startY);
    const aim = { mark, point, clearance: touch ? FINGER_CLEARANCE : MOUSE_CLEARANCE };
    this.gesture = { ...gesture, kind: "aim", aim, time: performance.now() };
    this.dragged = true; // the click that follows opens no hole
    this.marking.loupe.load();
    this.marking.aimAt(aim);
    if (touch) navigator.vibrate?.(15);
  }

  move(event) {
    const before = this.pointers.get(event.pointerId);
    if (!before || !this.gesture) return;
    if (this.gesture.kind === "press" && !this.leavePress(event)) return;
    const { gesture } = this;
    const [dx, dy] = [event.clientX - before.x, event.clientY - before.y];
    this.pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (gesture.kind === "pinch") this.pinch();
    else if (gesture.kind === "aim") this.moveAim(event, dx, dy);
    else this.pan(event, dx, dy);
  }

  /**
   * Turns a press that moves into what it is: the mouse moves the mark that it drags, everything else
   * moves the photo. Returns false while it may still be a tap or a hold.
   */
  leavePress(event) {
    const { gesture } = this;
    const distance = Math.hypot(event.clientX - gesture.startX, event.clientY - gesture.startY);
    if (distance < TAP_SLACK) return false;
    clearTimeout(this.hold);
    this.dragged = true;
    if (gesture.mark && !gesture.touch) this.startAim(gesture);
    else this.gesture = { ...gesture, kind: "pan" };
    return true;
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
    const now = performance.now();
    const elapsed = Math.max(1, now - gesture.time);
    gesture.time = now;
    const speed = Math.hypot(dx, dy) / elapsed;
    const gain = gesture.touch ? Math.min(1, Math.max(0.25, speed / 0.4)) : 1;
    const { x, y } = gesture.aim.point;
    gesture.aim.point = { x: x + (dx * gain) / viewport.zoom, y: y + (dy * gain) / viewport.zoom };
    this.marking.aimAt(gesture.aim);
  }

  up(event) {
    clearTimeout(this.hold);
    if (!this.pointers.delete(event.pointerId)) return;
    const { gesture } = this;
    if (gesture?.kind === "pinch" && this.pointers.size > 0) return;
    this.gesture = null;
    if (gesture?.kind === "aim") this.release(event, gesture.aim);
    if (gesture?.kind === "press" && !gesture.onBadge) this.tap(event, gesture);
  }

  /** Records where the aim is let go, unless that is outside the picture. */
  release(event, { mark, point }) {
    if (this.marking.aim === null) return; // canceled by a key
    if (mark && distance(point, recordedPosition(mark)) === 0) return this.marking.cancel(); // only held
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

  /** Marks at the click of a mouse; zooms in on a double tap of a finger. */
  tap(event, { touch, startX, startY }) {
    const { lastTap } = this;
    this.lastTap = { time: event.timeStamp, x: event.clientX, y: event.clientY };
    const near = lastTap && distance(lastTap, this.lastTap) < DOUBLE_TAP_DISTANCE;
    const second = near && event.timeStamp - lastTap.time < DOUBLE_TAP_MS;
    if (touch && second) {
      this.lastTap = null;
      this.viewport.zoomAt(2.5, event.clientX, event.clientY);
    }
    if (touch || second) return; // a double click marks once
    const point = this.viewport.toPicture(startX, startY);
    if (!this.viewport.contains(point)) return;
    this.element.focus({ preventScroll: true });
    this.marking.aimAt({ mark: null, point, clearance: MOUSE_CLEARANCE });
    this.marking.record();
  }

  cancel(event) {
    clearTimeout(this.hold);
    this.pointers.delete(event.pointerId);
    if (this.gesture?.kind === "aim") this.marking.cancel();
    this.gesture = null;
  }

  /** Lets a tap on a badge open its hole; not a drag or a hold that ends on one. */
  click(event) {
    const byPointer = event.detail > 0; // 0 from keys and screen readers
    if (byPointer && this.dragged) event.preventDefault();
  }

  wheel(event) {
    if (event.deltaY > 0 && this.viewport.isFitted) return; // cannot zoom out further: scroll the page
    event.preventDefault();
    const pixels = event.deltaMode === 1 ? event.deltaY * 16 : event.deltaY;
    this.viewport.zoomAt(Math.exp(-pixels * 0.002), event.clientX, event.clientY);
  }
}

function distance(one, other) {
  return Math.hypot(one.x - other.x, one.y - other.y);
}
