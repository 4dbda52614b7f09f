// How the picture lies on the stage: pan, zoom, and the way between the screen and the picture's pixels.
// The sheet takes the picture's size on the screen, so the plates, placed by per cent, keep their own size.

const CLOSEST = 4; // screen pixels to one pixel of the picture

export class View {
  constructor(stage, sheet, width, height) {
    Object.assign(this, { stage, sheet, width, height, zoom: 1, left: 0, top: 0 });
    this.onchange = () => {};
  }

  get least() {
    return Math.min(this.stage.clientWidth / this.width, this.stage.clientHeight / this.height);
  }

  get fitted() {
    return this.zoom <= this.least * 1.001;
  }

  fit() {
    this.zoom = this.least;
    this.lay();
  }

  /** Zooms by `factor`, keeping the point under (clientX, clientY) where it is. */
  zoomAt(factor, clientX, clientY) {
    const held = this.toPicture(clientX, clientY);
    const most = Math.max(CLOSEST, this.least);
    this.zoom = Math.min(most, Math.max(this.least, this.zoom * factor));
    const corner = this.corner();
    this.left = clientX - corner.x - held.x * this.zoom;
    this.top = clientY - corner.y - held.y * this.zoom;
    this.lay();
  }

  zoomAtCentre(factor) {
    const stage = this.stage.getBoundingClientRect();
    this.zoomAt(factor, stage.left + stage.width / 2, stage.top + stage.height / 2);
  }

  panBy(dx, dy) {
    this.left += dx;
    this.top += dy;
    this.lay();
  }

  /** Brings a point of the picture into sight, with some room round it. */
  show(point) {
    const room = 40;
    const { clientWidth, clientHeight } = this.stage;
    const x = this.left + point.x * this.zoom;
    const y = this.top + point.y * this.zoom;
    const dx = Math.max(0, room - x) - Math.max(0, x - (clientWidth - room));
    const dy = Math.max(0, room - y) - Math.max(0, y - (clientHeight - room));
    if (dx || dy) this.panBy(dx, dy);
  }

  toPicture(clientX, clientY) {
    const corner = this.corner();
    return {
      x: (clientX - corner.x - this.left) / this.zoom,
      y: (clientY - corner.y - this.top) / this.zoom,
    };
  }

  /** The stage's corner within its border, where the sheet's place counts from. */
  corner() {
    const { left, top } = this.stage.getBoundingClientRect();
    return { x: left + this.stage.clientLeft, y: top + this.stage.clientTop };
  }

  toStage(point) {
    return { x: this.left + point.x * this.zoom, y: this.top + point.y * this.zoom };
  }

  has(point) {
    return point.x >= 0 && point.y >= 0 && point.x <= this.width && point.y <= this.height;
  }

  centre() {
    const { clientWidth, clientHeight } = this.stage;
    const within = (value, size) => Math.round(Math.min(size, Math.max(0, value)));
    return {
      x: within((clientWidth / 2 - this.left) / this.zoom, this.width),
      y: within((clientHeight / 2 - this.top) / this.zoom, this.height),
    };
  }

  /** Lays the sheet: centred where it is smaller than the stage, never leaving a gap where it is larger. */
  lay() {
    const wide = this.width * this.zoom;
    const high = this.height * this.zoom;
    this.left = kept(this.left, wide, this.stage.clientWidth);
    this.top = kept(this.top, high, this.stage.clientHeight);
    const style = this.sheet.style;
    style.width = `${wide}px`;
    style.height = `${high}px`;
    style.transform = `translate(${this.left}px, ${this.top}px)`;
    this.onchange();
  }
}

function kept(at, size, room) {
  if (size <= room) return (room - size) / 2;
  return Math.min(0, Math.max(room - size, at));
}

/** Where a plate is recorded, in pixels of the picture. */
export function placeOf(mark) {
  return { x: Number(mark.dataset.x), y: Number(mark.dataset.y) };
}

/** Moves a plate on the screen. */
export function put(mark, point, { width, height }) {
  const plate = mark.querySelector("svg");
  plate.setAttribute("x", `${(point.x / width) * 100}%`);
  plate.setAttribute("y", `${(point.y / height) * 100}%`);
}
