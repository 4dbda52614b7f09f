// Traces an edge on a picture: a finger or the mouse draws around a crater, and its points become
// the fields of the form, which is sent when it is let go. Without this script each press on the
// plain picture adds a point.

const SPACING = 12; // pixels of the screen between points that are kept
const MOST = 60;

class Tracing {
  constructor(svg) {
    this.svg = svg;
    this.form = svg.closest("form");
    this.line = svg.querySelector("[data-trace]");
    this.points = null; // in the photo, with where each was on the screen
    svg.addEventListener("pointerdown", (event) => this.down(event));
    svg.addEventListener("pointermove", (event) => this.move(event));
    svg.addEventListener("pointerup", () => this.up());
    svg.addEventListener("pointercancel", () => this.cancel());
  }

  down(event) {
    if (event.pointerType === "mouse" && event.button !== 0) return;
    event.preventDefault();
    this.svg.setPointerCapture(event.pointerId);
    this.points = [];
    this.add(event);
  }

  move(event) {
    if (!this.points) return;
    const last = this.points.at(-1);
    if (Math.hypot(event.clientX - last.clientX, event.clientY - last.clientY) >= SPACING) this.add(event);
  }

  add({ clientX, clientY }) {
    const { x, y } = new DOMPoint(clientX, clientY).matrixTransform(this.svg.getScreenCTM().inverse());
    this.points.push({ x, y, clientX, clientY });
    this.line.setAttribute("points", this.points.map((point) => `${point.x},${point.y}`).join(" "));
  }

  up() {
    const points = this.points ?? [];
    this.points = null;
    if (points.length < 5) return this.clear(); // a tap, not a stroke
    const step = Math.max(1, points.length / MOST);
    this.form.querySelectorAll("input[name=traced]").forEach((input) => input.remove());
    for (let at = 0; at < points.length; at += step) {
      const { x, y } = points[Math.floor(at)];
      const input = document.createElement("input");
      Object.assign(input, { type: "hidden", name: "traced", value: `${x.toFixed(1)} ${y.toFixed(1)}` });
      this.form.append(input);
    }
    this.form.requestSubmit();
  }

  cancel() {
    this.points = null;
    this.clear();
  }

  clear() {
    this.line.setAttribute("points", "");
  }
}

for (const svg of document.querySelectorAll("svg.trace")) {
  svg.closest("form").hidden = false;
  new Tracing(svg);
}
