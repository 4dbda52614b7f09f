// Hands on the photo: the mouse, fingers, and the way from a pixel of the picture to the screen.

/** Where a pixel of the upright picture lies on the screen now. */
export async function onScreen(page, [x, y]) {
  const { width, height } = await page.locator(".marking").evaluate((marking) => ({ ...marking.dataset }));
  const box = await page.locator(".marking .marked").boundingBox();
  return [box.x + (x / Number(width)) * box.width, box.y + (y / Number(height)) * box.height];
}

/** Where a hole's mark is recorded, in pixels of the picture; undefined where it has none. */
export async function markOf(page, number) {
  const mark = page.locator(`.marks .mark[aria-label^="Hole ${number},"]`).first();
  if ((await mark.count()) === 0) return undefined;
  return mark.evaluate(({ dataset }) => [Number(dataset.x), Number(dataset.y)]);
}

/** How far two places lie apart. */
export function apart([x1, y1], [x2, y2]) {
  return Math.hypot(x1 - x2, y1 - y2);
}

/** One way to point, for the tests that run with fingers and with a mouse alike. */
export function hand(page, context, { hasTouch = false } = {}) {
  return hasTouch ? fingers(page, context) : mouse(page);
}

function mouse(page) {
  return {
    clear: 24,
    /** Presses at the first point, slides through the others, and waits before letting go. */
    async slide(points, beforeLift = async () => {}) {
      const [first, ...rest] = points;
      await page.mouse.move(...first);
      await page.mouse.down();
      for (const point of rest) await page.mouse.move(...point, { steps: 8 });
      await beforeLift();
      await page.mouse.up();
    },
  };
}

function fingers(page, context) {
  let session;
  const touch = async (type, points) => {
    session ??= await context.newCDPSession(page);
    const touchPoints = points.map(([x, y], id) => ({ x, y, id }));
    await session.send("Input.dispatchTouchEvent", { type, touchPoints });
  };
  return {
    clear: 64,
    async slide(points, beforeLift = async () => {}) {
      const [first, ...rest] = points;
      await touch("touchStart", [first]);
      let last = first;
      for (const point of rest) {
        for (let step = 1; step <= 8; step += 1) {
          const part = step / 8;
          await touch("touchMove", [[last[0] + (point[0] - last[0]) * part, last[1] + (point[1] - last[1]) * part]]);
        }
        last = point;
      }
      await beforeLift();
      await touch("touchEnd", []);
    },
    /** Two fingers, `from` apart to `to` apart, round a point. */
    async pinch([x, y], from, to) {
      const pair = (gap) => [[x - gap / 2, y], [x + gap / 2, y]];
      await touch("touchStart", pair(from).slice(0, 1));
      await touch("touchStart", pair(from));
      for (let step = 1; step <= 10; step += 1) await touch("touchMove", pair(from + ((to - from) * step) / 10));
      await touch("touchEnd", []);
    },
  };
}
