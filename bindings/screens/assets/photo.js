// The photo of a face: zoom and pan, and mark its holes by touch, mouse or keyboard.

import { KeyboardInput } from "./photo-keyboard.js";
import { Loupe } from "./photo-loupe.js";
import { PointerInput } from "./photo-pointer.js";
import { Recorder } from "./photo-recorder.js";
import { Viewport, moveBadge, recordedPosition } from "./photo-viewport.js";

const HELP = {
  touch: "Press and hold on a hole, slide to its center, let go. Tap a badge to open its hole.",
  mouse: "Click a hole to mark it, or press and hold for the loupe. Click a badge to open its hole.",
};
const ZOOM_STEP = 1.5;

class Marking {
  constructor(root) {
    this.root = root;
    this.element = root.querySelector(".viewport");
    const { width, height, original, record } = root.dataset;
    const sheet = this.element.querySelector(".marked");
    this.viewport = new Viewport(this.element, sheet, Number(width), Number(height));
    this.picture = sheet.querySelector("img");
    this.loupe = new Loupe(this.viewport, this.picture, original);
    this.recorder = new Recorder(record, root.querySelector(".status"));
    /** The point that is being marked, and the mark that is being moved there, if there is one. */
    this.aim = null;
    this.crosshair = createCrosshair();
    this.element.append(this.crosshair);
    this.start();
  }

  start() {
    const { root, element, viewport } = this;
    root.classList.add("interactive");
    root.querySelector(".toolbar").hidden = false;
    element.tabIndex = 0;
    element.setAttribute("role", "application");
    element.style.aspectRatio = `${viewport.width} / ${viewport.height}`;
    for (const button of root.querySelectorAll("[data-zoom]")) {
      button.addEventListener("click", () => this.zoom(button.dataset.zoom));
    }
    document.addEventListener("submit", (event) => {
      if (!event.target.matches("form[data-part]")) return;
      event.preventDefault();
      this.recorder.submit(event.target, event.submitter);
    });
    this.pointerInput = new PointerInput(this);
    this.keyboardInput = new KeyboardInput(this);
    viewport.onchange = () => this.viewportChanged();
    viewport.fit();
    new ResizeObserver(() => (this.wasFitted ? viewport.fit() : viewport.layOut())).observe(element);
    const touch = matchMedia("(pointer: coarse)").matches;
    this.recorder.show(HELP[touch ? "touch" : "mouse"]);
    this.cancel();
  }

  zoom(direction) {
    if (direction === "fit") this.viewport.fit();
    else this.viewport.zoomAtCenter(direction === "in" ? ZOOM_STEP : 1 / ZOOM_STEP);
  }

  /**
   * Adjusts what depends on the viewport. While the whole picture shows, one finger scrolls the
   * page.
   */
  viewportChanged() {
    this.wasFitted = this.viewport.isFitted;
    this.element.style.touchAction = this.wasFitted ? "pan-y" : "none";
    this.sharpen();
    if (this.aim) this.showAim();
  }

  /** Replaces the reduced picture by the original once it is zoomed in too far for it. */
  async sharpen() {
    const { picture, viewport } = this;
    if (this.isSharp || viewport.zoom * viewport.width < 1.5 * picture.naturalWidth) return;
    const original = await this.loupe.load();
    if (!original) return;
    this.isSharp = true;
    picture.src = original.src;
  }

  /**
   * Aims at a point of the picture; `clearance` is how far above it the finger or mouse pointer
   * hides it.
   */
  aimAt(aim) {
    this.aim = aim;
    if (aim.mark) moveBadge(aim.mark, aim.point, this.viewport);
    this.showAim();
  }

  showAim() {
    const { x, y } = this.viewport.toElement(this.aim.point);
    this.crosshair.style.transform = `translate(${x}px, ${y}px)`;
    this.crosshair.style.display = "";
    this.loupe.show(this.aim.point, this.aim.clearance);
  }

  /** Cancels the aim; a badge that was moved goes back to its mark. */
  cancel() {
    const mark = this.aim?.mark;
    if (mark) moveBadge(mark, recordedPosition(mark), this.viewport);
    this.hideAim();
  }

  hideAim() {
    this.aim = null;
    this.crosshair.style.display = "none";
    this.loupe.hide();
  }

  /** Records the point aimed at: a mark's new position, or the mark of the next hole. */
  async record() {
    const { mark, point } = this.aim;
    this.hideAim();
    const recorded = await this.recorder.record(() => {
      const hole = mark?.dataset.hole ?? this.root.querySelector("#next-mark select").value;
      const before = mark ?? this.root.querySelector(`.mark[data-hole="${CSS.escape(hole)}"]`);
      return { hole, replaces: before?.dataset.replaces?.split(" ").filter(Boolean) ?? [], point };
    });
    if (!recorded && mark?.isConnected) moveBadge(mark, recordedPosition(mark), this.viewport);
    if (recorded) this.uncover();
  }

  /** Scrolls the page as far as the strip that grades would cover the photo. */
  uncover() {
    const photo = this.element.getBoundingClientRect();
    const covered = photo.bottom - document.getElementById("grade").getBoundingClientRect().top;
    const room = photo.top - parseFloat(getComputedStyle(document.documentElement).scrollPaddingTop);
    if (covered > 0 && room > 0) window.scrollBy(0, Math.min(covered, room));
  }

  /** Grades the hole in the strip by the letter of a condition; returns whether there is one. */
  grade(letter) {
    const button = document.querySelector(`#grade button[data-letter="${CSS.escape(letter)}"]`);
    button?.click();
    return button !== null;
  }
}

function createCrosshair() {
  const namespace = "http://www.w3.org/2000/svg";
  const crosshair = document.createElementNS(namespace, "svg");
  crosshair.setAttribute("class", "crosshair");
  crosshair.setAttribute("aria-hidden", "true");
  for (const shade of ["light", "dark"]) {
    const path = document.createElementNS(namespace, "path");
    path.setAttribute("class", shade);
    path.setAttribute("d", "M-30 0H-8M8 0H30M0-30V-8M0 8V30");
    crosshair.append(path);
  }
  return crosshair;
}

for (const root of document.querySelectorAll(".marking")) new Marking(root);
