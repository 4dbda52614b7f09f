// Mouse and touch gestures on the photo, and positions on it.

/** Converts a position in the upright picture's pixels to the screen. */
export async function toScreen(page, [x, y]) {
  const { width, height } = await page.locator(".marking").evaluate((marking) => ({ ...marking.dataset }));
  const box = await page.locator(".marking .marked").boundingBox();
  return [box.x + (x / Number(width)) * box.width, box.y + (y / Number(height)) * box.height];
}

/** Scrolls until a position in the picture is in view, clear of the strip at the lower edge; returns it on the screen. */
export async function bringIntoView(page, place) {
  const [, y] = await toScreen(page, place);
  await page.evaluate((by) => scrollBy(0, by), y - 250);
  return toScreen(page, place);
}

/** Where a hole's mark is recorded, in the picture's pixels; undefined if it has none. */
export async function markPosition(page, number) {
  const mark = page.locator(`.marks .mark[aria-label^="Hole ${number},"]`).first();
  if ((await mark.count()) === 0) return undefined;
  return mark.evaluate(({ dataset }) => [Number(dataset.x), Number(dataset.y)]);
}

/** The distance between two positions. */
export function distance([x1, y1], [x2, y2]) {
  return Math.hypot(x1 - x2, y1 - y2);
}

/** A pointing device with the same gestures for touch and mouse; only touch can pinch. */
export function pointer(page, context, { hasTouch = false } = {}) {
  return hasTouch ? touch(page, context) : mouse(page);
}

function mouse(page) {
  return {
    /** Presses at the first point, drags through the others, and waits before letting go. */
    async drag([first, ...rest], beforeRelease = async () => {}) {
      await page.mouse.move(...first);
      await page.mouse.down();
      for (const point of rest) await page.mouse.move(...point, { steps: 8 });
      await beforeRelease();
      await page.mouse.up();
    },
    /** The same, resting at the first point until the photo is aimed at: this marks. */
    async hold([first, ...rest], beforeRelease = async () => {}) {
      await page.mouse.move(...first);
      await page.mouse.down();
      await page.locator(".loupe:not([hidden])").waitFor();
      for (const point of rest) await page.mouse.move(...point, { steps: 8 });
      await beforeRelease();
      await page.mouse.up();
    },
    async tap(point) {
      await page.mouse.click(...point);
    },
  };
}

function touch(page, context) {
  let session;
  const dispatch = async (type, points) => {
    session ??= await context.newCDPSession(page);
    const touchPoints = points.map(([x, y], id) => ({ x, y, id }));
    await session.send("Input.dispatchTouchEvent", { type, touchPoints });
  };
  const slide = async (first, points) => {
    let last = first;
    for (const point of points) {
      for (let step = 1; step <= 8; step += 1) {
        const part = step / 8;
        await dispatch("touchMove", [[last[0] + (point[0] - last[0]) * part, last[1] + (point[1] - last[1]) * part]]);
      }
      last = point;
    }
  };
  return {
    async drag([first, ...rest], beforeRelease = async () => {}) {
      await dispatch("touchStart", [first]);
      await slide(first, rest);
      await beforeRelease();
      await dispatch("touchEnd", []);
    },
    async hold([first, ...rest], beforeRelease = async () => {}) {
      await dispatch("touchStart", [first]);
      await page.locator(".loupe:not([hidden])").waitFor();
      await slide(first, rest);
      await beforeRelease();
      await dispatch("touchEnd", []);
    },
    async tap(point) {
      await page.touchscreen.tap(...point);
    },
    /** Moves two fingers around a point from one distance to another. */
    async pinch([x, y], from, to) {
      const fingers = (gap) => [[x - gap / 2, y], [x + gap / 2, y]];
      await dispatch("touchStart", fingers(from).slice(0, 1));
      await dispatch("touchStart", fingers(from));
      for (let step = 1; step <= 10; step += 1) await dispatch("touchMove", fingers(from + ((to - from) * step) / 10));
      await dispatch("touchEnd", []);
    },
  };
}
