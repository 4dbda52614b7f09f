// Marking holes on a photo by finger, mouse and keyboard, as exactly as the screen allows.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openPage, testedSizes } from "./harness/browser.mjs";
import { checkPage, visibleScreenshot } from "./harness/check-page.mjs";
import { addFace, addPhoto } from "./harness/first-steps.mjs";
import { distance, markPosition, pointer, toScreen } from "./harness/photo.mjs";
import { TestNotebook } from "./harness/program.mjs";

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

const status = (page) => page.locator(".status");
const nextMark = (page) => page.getByLabel("Next mark");

for (const [size, options] of testedSizes) {
  describe(`marks on a photo, ${size}`, () => {
    let notebook, context, page, errors, pointing;
    before(async () => {
      notebook = await TestNotebook.create();
      ({ context, page, errors } = await openPage(browser, notebook, options));
      pointing = pointer(page, context, options);
      await addFace(page);
      await addPhoto(page);
    });
    after(async () => {
      await context?.close();
      await notebook?.remove();
    });

    /**
     * The tolerance of a mark: three quarters of a pixel of the screen, in pixels of the picture.
     */
    const tolerance = async () => {
      const box = await page.locator(".marking .marked").boundingBox();
      return (0.75 * Number(await page.locator(".marking").getAttribute("data-width"))) / box.width;
    };
    const middle = async () => {
      const { width, height } = await page.locator(".marking").evaluate(({ dataset }) => ({ ...dataset }));
      return [Number(width) / 2, Number(height) / 2];
    };
    const places = async () => {
      const [x, y] = await middle();
      return { first: [x * 0.6, y * 0.7], second: [x * 1.4, y * 0.75], third: [x, y * 1.3] };
    };

    /** Scrolls the photo to the top of the screen, so that the strip below covers none of it. */
    const showPhoto = () => page.locator(".viewport").evaluate((viewport) => viewport.scrollIntoView({ block: "start" }));

    test("a photo without marks asks for the first hole, and its page passes the checks", async () => {
      assert.match(await nextMark(page).locator("option:checked").textContent(), /Hole 1 \(new\)/);
      await checkPage(page, `${size}-photo-empty`);
    });

    test("a press that rests shows the original photo in the loupe, and letting go records the mark there", async () => {
      const { first } = await places();
      const at = await toScreen(page, first);
      await pointing.hold([at], async () => {
        await page.locator(".loupe[data-shows=original]").waitFor();
        await visibleScreenshot(page, `${size}-photo-loupe`);
      });
      await page.locator(".mark").waitFor();
      assert.ok(distance(await markPosition(page, 1), first) <= (await tolerance()), "the mark is where the pointer pressed");
      assert.match(await status(page).textContent(), /^Hole 1 marked at/);
      assert.match(await nextMark(page).locator("option:checked").textContent(), /Hole 2 \(new\)/);
      assert.ok(await page.locator(".loupe").isHidden());
    });

    test("the ring is on the hole, and the badge beside it", async () => {
      const center = ({ x, y, width, height }) => [x + width / 2, y + height / 2];
      const at = await toScreen(page, await markPosition(page, 1));
      const ring = await page.locator(".mark .ring").first().boundingBox();
      assert.ok(distance(center(ring), at) < 1.5);
      const badge = await page.locator(".mark .halo").boundingBox();
      assert.ok(distance(center(badge), at) > (badge.width + ring.width) / 2, "the badge does not cover the hole");
    });

    test("a drag before letting go adjusts the mark", async () => {
      const { second } = await places();
      const [x, y] = await toScreen(page, second);
      await pointing.hold([[x - 30, y], [x, y]]);
      await page.locator('.mark[aria-label^="Hole 2,"]').waitFor();
      const [across, down] = await markPosition(page, 2);
      const [start] = [second[0] - ((30 * (await tolerance())) / 0.75)];
      // A mouse moves the mark to the point; a slow finger only part of the way.
      assert.ok(across > start + 2 && across <= second[0] + (await tolerance()), `${across} is between ${start} and ${second[0]}`);
      assert.ok(Math.abs(down - second[1]) <= (await tolerance()));
    });

    test("a swipe, a scroll, a pinch or a tap of a finger, and a drag of the mouse, never mark", async () => {
      const [x, y] = await toScreen(page, (await places()).third);
      await pointing.drag([[x, y], [x + 60, y]]);
      await pointing.drag([[x, y], [x, y - 60]]);
      if (pointing.pinch) {
        await pointing.pinch([x, y], 60, 120);
        await pointing.tap([x, y]);
      } else {
        await page.mouse.move(x, y);
        await page.mouse.wheel(0, -200);
        await page.mouse.wheel(0, 200);
      }
      await page.reload();
      await nextMark(page).waitFor();
      assert.equal(await page.locator(".mark").count(), 2);
      assert.equal(await nextMark(page).locator("option").last().textContent(), "Hole 2 again");
    });

    test("dragging a badge moves its mark", async () => {
      const before = await markPosition(page, 1);
      const at = await toScreen(page, before);
      await pointing.hold([at]);
      assert.deepEqual(await markPosition(page, 1), before, "a mark that is only held stays");
      await pointing.hold([at, [at[0] + 40, at[1] + 20]], () => visibleScreenshot(page, `${size}-photo-drag`));
      await page.locator(".status", { hasText: "Hole 1 moved to" }).waitFor();
      const [x, y] = await markPosition(page, 1);
      assert.ok(x > before[0] && y > before[1]);
    });

    test("Escape while a badge is dragged leaves its mark", async () => {
      const before = await markPosition(page, 1);
      const at = await toScreen(page, before);
      await pointing.hold([at, [at[0] - 60, at[1]]], () => page.keyboard.press("Escape"));
      assert.match(await status(page).textContent(), /nothing was recorded/);
      await page.reload();
      assert.deepEqual(await markPosition(page, 1), before);
    });

    test("a hole that is chosen again is moved by its next mark", async () => {
      const before = await markPosition(page, 1);
      await nextMark(page).selectOption({ label: "Hole 1 again" });
      const [x, y] = await toScreen(page, before);
      await pointing.hold([[x - 50, y + 60]]);
      await page.locator(".status", { hasText: "Hole 1 moved to" }).waitFor();
      assert.equal(await page.locator('.mark[aria-label^="Hole 1,"]').count(), 1, "not a second mark");
      await page.locator("#grade").getByRole("button", { name: "Undo" }).click();
      await page.locator(".status", { hasText: "struck out" }).waitFor();
      assert.deepEqual(await markPosition(page, 1), before);
    });

    test("by keyboard: arrows move the crosshair by 1 or 20 pixels, Enter records", async () => {
      const [x, y] = await middle();
      await page.locator(".viewport").focus();
      await page.keyboard.press("Shift+ArrowRight");
      await page.keyboard.press("ArrowDown");
      await visibleScreenshot(page, `${size}-photo-crosshair`);
      await page.keyboard.press("Enter");
      await page.locator('.mark[aria-label^="Hole 3,"]').waitFor();
      const [across, down] = await markPosition(page, 3);
      assert.ok(Math.abs(across - x - 20) <= 1 && Math.abs(down - y - 1) <= 1, `${across}, ${down}`);
    });

    test("by keyboard: arrows move the focused badge, Enter records", async () => {
      const [x, y] = await markPosition(page, 3);
      const badge = page.locator('.mark[aria-label^="Hole 3,"]');
      await badge.focus();
      await page.keyboard.press("ArrowLeft");
      await page.keyboard.press("Shift+ArrowUp");
      await page.keyboard.press("Enter");
      await page.locator(".status", { hasText: "Hole 3 moved to" }).waitFor();
      assert.deepEqual(await markPosition(page, 3), [x - 1, y - 20]);
      assert.ok(await badge.evaluate((mark) => mark === document.activeElement), "the focus stays on the badge");
    });

    test("the last mark can be undone; its hole stays and is the next to mark", async () => {
      await page.locator("#grade").getByRole("button", { name: "Undo" }).click();
      await page.locator(".status", { hasText: "struck out" }).waitFor();
      // The mark before the correction is active again.
      assert.equal(await page.locator('.mark[aria-label^="Hole 3,"]').count(), 1);
      const { third } = await places();
      await page.reload();
      const at = await toScreen(page, third);
      await (pointing.pinch ? pointing.hold([at]) : pointing.tap(at));
      await page.locator('.mark[aria-label^="Hole 4,"]').waitFor();
      await page.locator("#grade").getByRole("button", { name: "Undo" }).click();
      await page.locator('.mark[aria-label^="Hole 4,"]').waitFor({ state: "detached" });
      assert.equal(await nextMark(page).locator("option:checked").textContent(), "Hole 4");
    });

    test("a mark is removed in the list; its hole stays", async () => {
      const { third } = await places();
      await pointing.hold([await toScreen(page, third)]);
      await page.locator('.mark[aria-label^="Hole 4,"]').waitFor();
      await page.getByRole("button", { name: "Remove mark of hole 4" }).click();
      await page.locator('.mark[aria-label^="Hole 4,"]').waitFor({ state: "detached" });
      assert.equal(await nextMark(page).locator("option:checked").textContent(), "Hole 4");
    });

    test("letting go outside the photo records nothing", async () => {
      await showPhoto();
      const count = await page.locator(".mark").count();
      const { third } = await places();
      const viewport = await page.locator(".viewport").boundingBox();
      await pointing.hold([await toScreen(page, third), [viewport.x + 30, viewport.y - 30]]);
      await page.locator(".status", { hasText: "nothing was recorded" }).waitFor();
      assert.equal(await page.locator(".mark").count(), count);
    });

    test("zoom by buttons, keyboard, wheel or fingers keeps badges at their size and rings on their holes", async () => {
      const badge = page.locator('.mark[aria-label^="Hole 1,"] .ring').first();
      await showPhoto();
      const whole = await page.locator(".marked").boundingBox();
      const before = await badge.boundingBox();
      await page.getByRole("button", { name: "Zoom in" }).click();
      await page.locator(".viewport").focus();
      await page.keyboard.press("+");
      const [x, y] = await toScreen(page, await markPosition(page, 1));
      if (pointing.pinch) await pointing.pinch([x, y], 60, 140);
      else {
        await page.mouse.move(x, y);
        await page.mouse.wheel(0, -300);
      }
      await page.waitForFunction((minimum) => document.querySelector(".marked").getBoundingClientRect().width > minimum, whole.width * 2.5);
      await visibleScreenshot(page, `${size}-photo-close`);
      const close = await page.locator(".marked").boundingBox();
      const after = await badge.boundingBox();
      assert.ok(close.width > whole.width * 2.5, "the picture grew");
      assert.ok(Math.abs(after.width - before.width) < 1, "the badge did not");
      const [px, py] = await toScreen(page, await markPosition(page, 1));
      assert.ok(distance([after.x + after.width / 2, after.y + after.height / 2], [px, py]) < 1.5);
      await page.keyboard.press("0");
      const again = await page.locator(".marked").boundingBox();
      assert.ok(Math.abs(again.width - whole.width) < 1, "0 shows the whole photo again");
    });

    test("a drag moves the photo, and a tap on a badge opens its hole", async () => {
      for (let step = 0; step < 3; step += 1) await page.getByRole("button", { name: "Zoom in" }).click();
      await showPhoto();
      const before = await page.locator(".marked").boundingBox();
      const viewport = await page.locator(".viewport").boundingBox();
      const [x, y] = [viewport.x + viewport.width - 20, viewport.y + 40];
      await pointing.drag([[x, y], [x - 50, y + 30]]);
      const moved = await page.locator(".marked").boundingBox();
      assert.ok(moved.x < before.x - 20 && moved.y > before.y + 10, "the photo follows the drag");
      await page.getByRole("button", { name: "Fit photo" }).click();
      await checkPage(page, `${size}-photo-marked`);
      await showPhoto();
      const box = await page.locator('.mark[aria-label^="Hole 1,"] .disc').boundingBox();
      await pointing.tap([box.x + box.width / 2, box.y + box.height / 2]);
      await page.getByRole("heading", { level: 1, name: "Hole 1" }).waitFor();
      await page.waitForLoadState();
      await page.goBack();
    });

    test("a mark outside the photo, or not a number, is rejected and changes nothing", async () => {
      const path = await page.locator(".marking").getAttribute("data-record");
      for (const [x, sentence] of [["-1", /outside the photo/], ["1e9", /outside the photo/], ["NaN", /not a number/], ["abc", /not a number/], ["", /not a number/]]) {
        const [status, text] = await page.evaluate(
          async ([path, x]) => {
            const body = new URLSearchParams({ hole: "new", x_px: x, y_px: "5", part: "1" });
            const response = await fetch(path, { method: "POST", body });
            return [response.status, await response.text()];
          },
          [path, x],
        );
        assert.equal(status, 422);
        assert.match(text, sentence);
      }
      await page.reload();
      const holes = await nextMark(page).locator("option", { hasText: "(new)" }).textContent();
      assert.match(holes, /Hole 5 \(new\)/, "no hole was added either");
    });

    test("the browser reports no error", () => assert.deepEqual(errors, []));
  });
}
