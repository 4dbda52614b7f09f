// The loupe: the photo's own pixels, magnified round the point that is being marked, clear of the finger.

const SIZE = 176; // screen pixels across
const SEEN = 28; // at first the loupe shows this part of the picture's longer side
const MOST = 10; // screen pixels to one of the picture

export class Loupe {
  constructor(view, picture, original) {
    this.view = view;
    this.picture = picture; // the smaller view, until the original is there
    this.source = original;
    this.canvas = document.createElement("canvas");
    this.canvas.className = "loupe";
    this.canvas.hidden = true;
    this.canvas.setAttribute("aria-hidden", "true");
    view.stage.append(this.canvas);
  }

  /** Fetches the original once; the browser turns it upright as its EXIF says. Null where that can't be. */
  load() {
    if (!fitsInMemory(this.view)) return Promise.resolve(null);
    this.loading ??= this.fetch();
    return this.loading;
  }

  async fetch() {
    const image = new Image();
    image.src = this.source;
    try {
      await image.decode();
    } catch {
      this.loading = undefined; // the view still serves, and the next touch asks again
      return null;
    }
    this.original = image;
    this.canvas.dataset.shows = "original";
    if (!this.canvas.hidden) this.draw(this.at);
    return image;
  }

  /** Shows the loupe for `point`; `clear` is how far above it a finger or pointer reaches. */
  show(point, clear) {
    const { stage } = this.view;
    const at = this.view.toStage(point);
    const half = SIZE / 2;
    const x = Math.min(stage.clientWidth - SIZE, Math.max(0, at.x - half));
    let y = at.y - clear - SIZE;
    let besides = x;
    if (y < 0) {
      // No room above: beside the finger, on the side with more room.
      y = Math.max(0, Math.min(stage.clientHeight - SIZE, at.y - half));
      besides = at.x > stage.clientWidth / 2 ? at.x - clear - SIZE : at.x + clear;
      besides = Math.min(stage.clientWidth - SIZE, Math.max(0, besides));
    }
    this.canvas.style.transform = `translate(${besides}px, ${y}px)`;
    this.canvas.hidden = false;
    this.draw(point);
  }

  hide() {
    this.canvas.hidden = true;
  }

  draw(point) {
    this.at = point;
    const sharpness = window.devicePixelRatio || 1;
    const { canvas, view } = this;
    canvas.width = canvas.height = Math.round(SIZE * sharpness);
    const context = canvas.getContext("2d");
    context.scale(sharpness, sharpness);
    const longer = Math.max(view.width, view.height);
    const scale = Math.min(MOST, Math.max((SIZE * SEEN) / longer, view.zoom * 3));
    this.drawPicture(context, point, scale);
    drawCrosshair(context);
  }

  drawPicture(context, point, scale) {
    const image = this.original ?? this.picture;
    if (!image.naturalWidth) return;
    const { width, height } = this.view;
    const left = SIZE / 2 - point.x * scale;
    const top = SIZE / 2 - point.y * scale;
    context.fillStyle = "#1b1f22";
    context.fillRect(0, 0, SIZE, SIZE);
    // Only the part in sight is drawn: a whole photograph scaled up would be slow.
    const x1 = Math.max(0, -left / scale);
    const y1 = Math.max(0, -top / scale);
    const x2 = Math.min(width, (SIZE - left) / scale);
    const y2 = Math.min(height, (SIZE - top) / scale);
    if (x2 <= x1 || y2 <= y1) return;
    const across = image.naturalWidth / width;
    const down = image.naturalHeight / height;
    context.imageSmoothingEnabled = scale / across < 3;
    context.drawImage(
      image,
      x1 * across, y1 * down, (x2 - x1) * across, (y2 - y1) * down,
      left + x1 * scale, top + y1 * scale, (x2 - x1) * scale, (y2 - y1) * scale,
    );
  }
}

/** Dark lines with light edges, open at the centre, so that they show on rust, paint and bare iron. */
function drawCrosshair(context) {
  const middle = SIZE / 2;
  const gap = 9;
  const path = new Path2D();
  for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
    path.moveTo(middle + dx * gap, middle + dy * gap);
    path.lineTo(middle + dx * middle, middle + dy * middle);
  }
  path.moveTo(middle + 1.2, middle);
  path.arc(middle, middle, 1.2, 0, Math.PI * 2);
  for (const [width, colour] of [[4.5, "#ffffff"], [1.6, "#10243f"]]) {
    context.lineWidth = width;
    context.strokeStyle = colour;
    context.stroke(path);
  }
}

/** A very large photograph, decoded, could end the page on a small phone; there the view must do. */
function fitsInMemory({ width, height }) {
  const gigabytes = navigator.deviceMemory ?? 8;
  return width * height * 4 < (gigabytes * 1e9) / 16;
}
