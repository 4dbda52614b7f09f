// The viewport on the photo: pan, zoom, and conversion between the screen's pixels and the
// picture's. The sheet that carries the picture and its badges is resized to zoom; the badges are
// placed by percent on it, so they keep their own size.

const MAX_ZOOM = 4; // pixels of the screen per pixel of the picture
const REVEAL_MARGIN = 40; // pixels of the screen

export class Viewport {
  /** `width` and `height` are the picture's, in its own pixels. */
  constructor(element, sheet, width, height) {
    Object.assign(this, { element, sheet, width, height, zoom: 1, left: 0, top: 0 });
    this.onchange = () => {};
  }

  /** The zoom at which the whole picture just fits. */
  get fitZoom() {
    return Math.min(this.element.clientWidth / this.width, this.element.clientHeight / this.height);
  }

  get isFitted() {
    return this.zoom <= this.fitZoom * 1.001;
  }

  fit() {
    this.zoom = this.fitZoom;
    this.layOut();
  }

  /** Zooms by `factor`, keeping the point at (clientX, clientY) where it is. */
  zoomAt(factor, clientX, clientY) {
    const fixed = this.toPicture(clientX, clientY);
    const max = Math.max(MAX_ZOOM, this.fitZoom);
    this.zoom = Math.min(max, Math.max(this.fitZoom, this.zoom * factor));
    const corner = this.corner();
    this.left = clientX - corner.x - fixed.x * this.zoom;
    this.top = clientY - corner.y - fixed.y * this.zoom;
    this.layOut();
  }

  zoomAtCenter(factor) {
    const box = this.element.getBoundingClientRect();
    this.zoomAt(factor, box.left + box.width / 2, box.top + box.height / 2);
  }

  panBy(dx, dy) {
    this.left += dx;
    this.top += dy;
    this.layOut();
  }

  /** Pans until a point of the picture is visible, with a margin around it. */
  reveal(point) {
    const { clientWidth, clientHeight } = this.element;
    const { x, y } = this.toElement(point);
    const dx = Math.max(0, REVEAL_MARGIN - x) - Math.max(0, x - (clientWidth - REVEAL_MARGIN));
    const dy = Math.max(0, REVEAL_MARGIN - y) - Math.max(0, y - (clientHeight - REVEAL_MARGIN));
    if (dx || dy) this.panBy(dx, dy);
  }

  /** Converts a position on the screen to pixels of the picture. */
  toPicture(clientX, clientY) {
    const corner = this.corner();
    return {
      x: (clientX - corner.x - this.left) / this.zoom,
      y: (clientY - corner.y - this.top) / this.zoom,
    };
  }

  /** Converts a point of the picture to pixels within the viewport. */
  toElement(point) {
    return { x: this.left + point.x * this.zoom, y: this.top + point.y * this.zoom };
  }

  /** The viewport's corner on the screen, inside its border. */
  corner() {
    const { left, top } = this.element.getBoundingClientRect();
    return { x: left + this.element.clientLeft, y: top + this.element.clientTop };
  }

  /** Whether a point lies within the picture. */
  contains(point) {
    return point.x >= 0 && point.y >= 0 && point.x <= this.width && point.y <= this.height;
  }

  /** The point of the picture at the viewport's center, in whole pixels. */
  center() {
    const { clientWidth, clientHeight } = this.element;
    const clamp = (value, size) => Math.round(Math.min(size, Math.max(0, value)));
    return {
      x: clamp((clientWidth / 2 - this.left) / this.zoom, this.width),
      y: clamp((clientHeight / 2 - this.top) / this.zoom, this.height),
    };
  }

  /**
   * Places the sheet: centered where it is smaller than the viewport, without a gap where it is
   * larger.
   */
  layOut() {
    const width = this.width * this.zoom;
    const height = this.height * this.zoom;
    this.left = limit(this.left, width, this.element.clientWidth);
    this.top = limit(this.top, height, this.element.clientHeight);
    const { style } = this.sheet;
    style.width = `${width}px`;
    style.height = `${height}px`;
    style.transform = `translate(${this.left}px, ${this.top}px)`;
    this.onchange();
  }
}

function limit(offset, size, available) {
  if (size <= available) return (available - size) / 2;
  return Math.min(0, Math.max(available - size, offset));
}

/** Where a mark is recorded, in pixels of the picture. */
export function recordedPosition(mark) {
  return { x: Number(mark.dataset.x), y: Number(mark.dataset.y) };
}

/** Moves a mark's badge on the screen. */
export function moveBadge(mark, point, { width, height }) {
  const badge = mark.querySelector("svg");
  badge.setAttribute("x", `${(point.x / width) * 100}%`);
  badge.setAttribute("y", `${(point.y / height) * 100}%`);
}
