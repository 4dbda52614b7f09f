// The loupe: magnifies the photo around the point that is being marked, clear of the finger.

const SIZE = 176; // pixels of the screen
const DIVISOR = 28; // without zoom it spans 1/28 of the picture's longer side
const MAX_SCALE = 10; // pixels of the screen per pixel of the picture
const CROSSHAIR_GAP = 9;

export class Loupe {
  constructor(viewport, picture, originalUrl) {
    this.viewport = viewport;
    this.picture = picture; // the reduced picture, until the original has loaded
    this.originalUrl = originalUrl;
    this.canvas = document.createElement("canvas");
    this.canvas.className = "loupe";
    this.canvas.hidden = true;
    this.canvas.setAttribute("aria-hidden", "true");
    viewport.element.append(this.canvas);
  }

  /**
   * Loads the original once; the browser rotates it by its EXIF. Resolves to null if it cannot be
   * loaded.
   */
  load() {
    if (!fitsInMemory(this.viewport)) return Promise.resolve(null);
    this.loading ??= this.fetch();
    return this.loading;
  }

  async fetch() {
    const image = new Image();
    image.src = this.originalUrl;
    try {
      await image.decode();
    } catch {
      this.loading = undefined; // the reduced picture will do; the next touch tries again
      return null;
    }
    this.original = image;
    this.canvas.dataset.shows = "original";
    if (!this.canvas.hidden) this.draw(this.point);
    return image;
  }

  /**
   * Shows the loupe for `point`; `clearance` is how far above it a finger or pointer hides the
   * picture.
   */
  show(point, clearance) {
    const { element } = this.viewport;
    const at = this.viewport.toElement(point);
    const half = SIZE / 2;
    let x = at.x - half;
    let y = at.y - clearance - SIZE;
    if (y < 0) {
      // No room above: beside the finger, on the side with more room.
      y = Math.max(0, Math.min(element.clientHeight - SIZE, at.y - half));
      x = at.x > element.clientWidth / 2 ? at.x - clearance - SIZE : at.x + clearance;
    }
    x = Math.min(element.clientWidth - SIZE, Math.max(0, x));
    this.canvas.style.transform = `translate(${x}px, ${y}px)`;
    this.canvas.hidden = false;
    this.draw(point);
  }

  hide() {
    this.canvas.hidden = true;
  }

  draw(point) {
    this.point = point;
    const pixelRatio = window.devicePixelRatio || 1;
    const { canvas, viewport } = this;
    canvas.width = canvas.height = Math.round(SIZE * pixelRatio);
    const context = canvas.getContext("2d");
    context.scale(pixelRatio, pixelRatio);
    const longer = Math.max(viewport.width, viewport.height);
    const scale = Math.min(MAX_SCALE, Math.max((SIZE * DIVISOR) / longer, viewport.zoom * 3));
    this.drawPicture(context, point, scale);
    drawCrosshair(context);
  }

  drawPicture(context, point, scale) {
    const image = this.original ?? this.picture;
    if (!image.naturalWidth) return;
    const { width, height } = this.viewport;
    const left = SIZE / 2 - point.x * scale;
    const top = SIZE / 2 - point.y * scale;
    context.fillStyle = "#1b1f22";
    context.fillRect(0, 0, SIZE, SIZE);
    // Only the visible part is drawn: to scale up a whole photo would be slow.
    const x1 = Math.max(0, -left / scale);
    const y1 = Math.max(0, -top / scale);
    const x2 = Math.min(width, (SIZE - left) / scale);
    const y2 = Math.min(height, (SIZE - top) / scale);
    if (x2 <= x1 || y2 <= y1) return;
    const scaleX = image.naturalWidth / width;
    const scaleY = image.naturalHeight / height;
    context.imageSmoothingEnabled = scale / scaleX < 3;
    context.drawImage(
      image,
      x1 * scaleX, y1 * scaleY, (x2 - x1) * scaleX, (y2 - y1) * scaleY,
      left + x1 * scale, top + y1 * scale, (x2 - x1) * scale, (y2 - y1) * scale,
    );
  }
}

/**
 * Draws dark lines with light edges, open at the center, so that they show on rust, paint and bare
 * iron.
 */
function drawCrosshair(context) {
  const middle = SIZE / 2;
  const path = new Path2D();
  for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
    path.moveTo(middle + dx * CROSSHAIR_GAP, middle + dy * CROSSHAIR_GAP);
    path.lineTo(middle + dx * middle, middle + dy * middle);
  }
  path.moveTo(middle + 1.2, middle);
  path.arc(middle, middle, 1.2, 0, Math.PI * 2);
  for (const [width, color] of [[4.5, "#ffffff"], [1.6, "#10243f"]]) {
    context.lineWidth = width;
    context.strokeStyle = color;
    context.stroke(path);
  }
}

/**
 * Whether the decoded photo fits in memory: a very large one could crash the page on a small phone.
 */
function fitsInMemory({ width, height }) {
  const gigabytes = navigator.deviceMemory ?? 8;
  return width * height * 4 < (gigabytes * 1e9) / 16;
}
