// The photo under a hand: one finger or the mouse pans or aims, two fingers pinch, the wheel zooms.

import { placeOf } from "./photo-view.js";

const SLACK = 6; // a touch that moves less than this is a tap
const FINGER = 64; // how far above its point a finger hides the picture
const POINTER = 24;
const TWICE_MS = 320;

export class Hand {
  constructor(marking) {
    this.marking = marking;
    this.view = marking.view;
    this.stage = marking.stage;
    this.pointers = new Map();
    this.gesture = null; // { kind: "pan" | "aim" | "pinch", … }
    const { stage } = this;
    stage.addEventListener("pointerdown", (event) => this.down(event));
    stage.addEventListener("pointermove", (event) => this.move(event));
    stage.addEventListener("pointerup", (event) => this.up(event));
    stage.addEventListener("pointercancel", (event) => this.lost(event));
    stage.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    stage.addEventListener("click", (event) => this.click(event), true);
    stage.addEventListener("dragstart", (event) => event.preventDefault());
    stage.addEventListener("contextmenu", (event) => marking.marks && event.preventDefault());
  }

  down(event) {
    if (event.pointerType === "mouse" && event.button > 1) return;
    if (this.pointers.size === 0) this.dragged = false;
    this.pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (this.pointers.size > 1) {
      this.marking.drop();
      this.dragged = true;
      this.gesture = { kind: "pinch", ...this.span() };
      return;
    }
    const aims = this.marking.marks && event.button === 0;
    this.gesture = { kind: aims ? "aim" : "pan", startX: event.clientX, startY: event.clientY };
    if (aims) this.takeAim(event);
    else if (event.button === 1) event.preventDefault(); // or the browser would scroll by itself
  }

  takeAim(event) {
    event.preventDefault();
    this.marking.drop();
    const mark = event.target.closest(".mark");
    (mark ?? this.stage).focus({ preventScroll: true });
    this.stage.setPointerCapture(event.pointerId);
    const touch = event.pointerType !== "mouse";
    const point = mark ? placeOf(mark) : this.view.toPicture(event.clientX, event.clientY);
    const aim = { mark, point, clear: touch ? FINGER : POINTER };
    Object.assign(this.gesture, { aim, touch, time: event.timeStamp });
    // A plate that is only touched stays as it is; it moves once the touch is a drag.
    if (!mark) this.marking.aimAt(aim);
  }

  move(event) {
    const { gesture } = this;
    const before = this.pointers.get(event.pointerId);
    if (!before || !gesture) return;
    const far = Math.hypot(event.clientX - gesture.startX, event.clientY - gesture.startY);
    const settling = !this.dragged && far < SLACK;
    if (settling && !(gesture.kind === "aim" && !gesture.aim.mark)) return;
    if (!settling) this.dragged = true;
    const [dx, dy] = [event.clientX - before.x, event.clientY - before.y];
    this.pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (gesture.kind === "pinch") this.pinch();
    else if (gesture.kind === "aim") this.slide(event, dx, dy);
    else this.pan(event, dx, dy);
  }

  pan(event, dx, dy) {
    // Captured only now: a tap's click must still reach the plate under it.
    if (!this.stage.hasPointerCapture(event.pointerId)) this.stage.setPointerCapture(event.pointerId);
    this.view.panBy(dx, dy);
  }

  span() {
    const [a, b] = [...this.pointers.values()];
    return { apart: Math.hypot(a.x - b.x, a.y - b.y) || 1, x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
  }

  pinch() {
    if (this.pointers.size < 2) return;
    const now = this.span();
    const { apart, x, y } = this.gesture;
    this.view.panBy(now.x - x, now.y - y);
    this.view.zoomAt(now.apart / apart, now.x, now.y);
    Object.assign(this.gesture, now);
  }

  /** A mouse leads the aim exactly; a slow finger moves it finely, a quick one as far as it goes. */
  slide(event, dx, dy) {
    const { gesture, view } = this;
    const took = Math.max(1, event.timeStamp - gesture.time);
    gesture.time = event.timeStamp;
    const speed = Math.hypot(dx, dy) / took;
    const gain = gesture.touch ? Math.min(1, Math.max(0.25, speed / 0.4)) : 1;
    const { x, y } = gesture.aim.point;
    gesture.aim.point = { x: x + (dx * gain) / view.zoom, y: y + (dy * gain) / view.zoom };
    this.marking.aimAt(gesture.aim);
  }

  up(event) {
    if (!this.pointers.delete(event.pointerId)) return;
    const { gesture } = this;
    if (gesture?.kind === "pinch" && this.pointers.size > 0) return;
    this.gesture = null;
    if (gesture?.kind === "aim") this.lift(event, gesture.aim);
    if (gesture?.kind === "pan" && !this.dragged) this.tap(event);
  }

  lift(event, { mark, point }) {
    if (this.marking.aim === null) return; // only touched, or given up by key
    const stage = this.stage.getBoundingClientRect();
    const on = event.clientX >= stage.left && event.clientX <= stage.right
      && event.clientY >= stage.top && event.clientY <= stage.bottom;
    if (on && this.view.has(point)) {
      this.marking.record();
    } else {
      this.marking.drop();
      const words = mark ? "the mark is where it was" : "nothing was recorded";
      this.marking.recorder.say(`Let go outside the picture: ${words}.`);
    }
  }

  /** Two taps at one place zoom in there. */
  tap(event) {
    const { last } = this;
    this.last = { time: event.timeStamp, x: event.clientX, y: event.clientY };
    if (!last || event.target.closest(".mark")) return;
    const near = Math.hypot(last.x - event.clientX, last.y - event.clientY) < 30;
    if (!near || event.timeStamp - last.time > TWICE_MS) return;
    this.last = null;
    this.view.zoomAt(2.5, event.clientX, event.clientY);
  }

  lost(event) {
    this.pointers.delete(event.pointerId);
    if (this.gesture?.kind === "aim") this.marking.drop();
    this.gesture = null;
  }

  /** A plate opens its hole when tapped in Look; a drag that ends on it, or marking, does not. */
  click(event) {
    const byHand = event.detail > 0; // keys and screen readers count no clicks
    if (byHand && (this.dragged || this.marking.marks)) event.preventDefault();
  }

  wheel(event) {
    if (event.deltaY > 0 && this.view.fitted) return; // nothing further out: the page scrolls
    event.preventDefault();
    const step = event.deltaMode === 1 ? event.deltaY * 16 : event.deltaY;
    this.view.zoomAt(Math.exp(-step * 0.002), event.clientX, event.clientY);
  }
}
