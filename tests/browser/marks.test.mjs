// Marking holes on a photo, by finger, mouse and keys, as exactly as the screen allows.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { carried, enter, launch } from "./harness/browser.mjs";
import { glimpse, look } from "./harness/look.mjs";
import { apart, hand, markOf, onScreen } from "./harness/photo.mjs";
import { OpenNotebook } from "./harness/program.mjs";
import { bringIn, newFace } from "./harness/start.mjs";

let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

const said = (page) => page.locator(".said");
const nextMark = (page) => page.getByLabel("Next mark");

for (const [size, options] of carried) {
  describe(`marks on a photo, ${size}`, () => {
    let notebook, context, page, faults, by;
    before(async () => {
      notebook = await OpenNotebook.fresh();
      ({ context, page, faults } = await enter(browser, notebook, options));
      by = hand(page, context, options);
      await newFace(page);
      await bringIn(page);
    });
    after(async () => {
      await context?.close();
      await notebook?.remove();
    });

    /** How far a mark may be off: three quarters of a screen pixel, in pixels of the picture. */
    const near = async () => {
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

    test("a photo without marks begins in Mark, and its page holds up", async () => {
      const mark = page.getByRole("button", { name: "Mark", exact: true });
      assert.equal(await mark.getAttribute("aria-pressed"), "true");
      assert.match(await nextMark(page).locator("option:checked").textContent(), /hole 1 \(new\)/);
      await look(page, `${size}-photo-empty`);
    });

    test("a press shows the photo's own pixels in the loupe, letting go records the mark there", async () => {
      const { first } = await places();
      const at = await onScreen(page, first);
      await by.slide([at], async () => {
        await page.locator(".loupe[data-shows=original]").waitFor();
        await glimpse(page, `${size}-photo-loupe`);
      });
      await page.locator(".mark").waitFor();
      assert.ok(apart(await markOf(page, 1), first) <= (await near()), "the mark is where it was pressed");
      assert.match(await said(page).textContent(), /^Hole 1 marked at/);
      assert.match(await nextMark(page).locator("option:checked").textContent(), /hole 2 \(new\)/);
      assert.ok(await page.locator(".loupe").isHidden());
    });

    test("the plate lies on its mark", async () => {
      const plate = await page.locator(".mark .disc").boundingBox();
      const [x, y] = await onScreen(page, await markOf(page, 1));
      assert.ok(apart([plate.x + plate.width / 2, plate.y + plate.height / 2], [x, y]) < 1.5);
    });

    test("a slide before letting go adjusts the mark", async () => {
      const { second } = await places();
      const [x, y] = await onScreen(page, second);
      await by.slide([[x - 30, y], [x, y]]);
      await page.locator('.mark[aria-label^="Hole 2,"]').waitFor();
      const [across, down] = await markOf(page, 2);
      const [start] = [second[0] - ((30 * (await near())) / 0.75)];
      // A mouse leads the mark to the point; a slow finger moves it finely, part of the way.
      assert.ok(across > start + 2 && across <= second[0] + (await near()), `${across} lies between ${start} and ${second[0]}`);
      assert.ok(Math.abs(down - second[1]) <= (await near()));
    });

    test("dragging a plate in Mark corrects its mark, a mere touch leaves it", async () => {
      const before = await markOf(page, 1);
      const at = await onScreen(page, before);
      await by.slide([at]);
      await page.waitForTimeout(200);
      assert.deepEqual(await markOf(page, 1), before);
      assert.match(page.url(), /\/photo\//, "in Mark a touched plate does not open its hole");
      await by.slide([at, [at[0] + 40, at[1] + 20]], () => glimpse(page, `${size}-photo-drag`));
      await page.locator(".said", { hasText: "Hole 1 moved to" }).waitFor();
      const [x, y] = await markOf(page, 1);
      assert.ok(x > before[0] && y > before[1]);
    });

    test("Escape while a plate is moved leaves the mark as it is recorded", async () => {
      const before = await markOf(page, 1);
      const at = await onScreen(page, before);
      await by.slide([at, [at[0] - 60, at[1]]], () => page.keyboard.press("Escape"));
      assert.match(await said(page).textContent(), /nothing was recorded/);
      await page.reload();
      assert.deepEqual(await markOf(page, 1), before);
      await page.getByRole("button", { name: "Mark", exact: true }).click();
    });

    test("by keys: arrows move the crosshair by 1 or 20 pixels, Enter records", async () => {
      const [x, y] = await middle();
      await page.locator(".stage").focus();
      await page.keyboard.press("Shift+ArrowRight");
      await page.keyboard.press("ArrowDown");
      await glimpse(page, `${size}-photo-crosshair`);
      await page.keyboard.press("Enter");
      await page.locator('.mark[aria-label^="Hole 3,"]').waitFor();
      const [across, down] = await markOf(page, 3);
      assert.ok(Math.abs(across - x - 20) <= 1 && Math.abs(down - y - 1) <= 1, `${across}, ${down}`);
    });

    test("by keys: a plate with the focus is moved by arrows and recorded by Enter", async () => {
      const [x, y] = await markOf(page, 3);
      const plate = page.locator('.mark[aria-label^="Hole 3,"]');
      await plate.focus();
      await page.keyboard.press("ArrowLeft");
      await page.keyboard.press("Shift+ArrowUp");
      await page.keyboard.press("Enter");
      await page.locator(".said", { hasText: "Hole 3 moved to" }).waitFor();
      assert.deepEqual(await markOf(page, 3), [x - 1, y - 20]);
      assert.ok(await plate.evaluate((mark) => mark === document.activeElement), "the focus stays on the plate");
    });

    test("a mark is struck right after, its hole stays and is next to be marked", async () => {
      await page.getByRole("button", { name: "Strike this mark" }).click();
      await page.locator(".said", { hasText: "struck" }).waitFor();
      // What stood before the correction stands again; struck too, the hole has no mark here.
      assert.equal(await page.locator('.mark[aria-label^="Hole 3,"]').count(), 1);
      const { third } = await places();
      await page.reload();
      await page.getByRole("button", { name: "Mark", exact: true }).click();
      await by.slide([await onScreen(page, third)]);
      await page.locator('.mark[aria-label^="Hole 4,"]').waitFor();
      await page.getByRole("button", { name: "Strike this mark" }).click();
      await page.locator('.mark[aria-label^="Hole 4,"]').waitFor({ state: "detached" });
      assert.equal(await nextMark(page).locator("option:checked").textContent(), "hole 4");
    });

    test("letting go outside the photo records nothing", async () => {
      const count = await page.locator(".mark").count();
      const { third } = await places();
      const stage = await page.locator(".stage").boundingBox();
      await by.slide([await onScreen(page, third), [stage.x + 30, stage.y - 30]]);
      await page.locator(".said", { hasText: "nothing was recorded" }).waitFor();
      assert.equal(await page.locator(".mark").count(), count);
    });

    test("zoom by buttons, keys, wheel or fingers keeps plates at their size and on their marks", async () => {
      const plate = page.locator('.mark[aria-label^="Hole 1,"] .disc');
      const whole = await page.locator(".marked").boundingBox();
      const before = await plate.boundingBox();
      await page.getByRole("button", { name: "Zoom in" }).click();
      await page.locator(".stage").focus();
      await page.keyboard.press("+");
      const [x, y] = await onScreen(page, await markOf(page, 1));
      if (by.pinch) await by.pinch([x, y], 60, 140);
      else {
        await page.mouse.move(x, y);
        await page.mouse.wheel(0, -300);
      }
      await page.waitForFunction((least) => document.querySelector(".marked").getBoundingClientRect().width > least, whole.width * 2.5);
      await glimpse(page, `${size}-photo-close`);
      const close = await page.locator(".marked").boundingBox();
      const after = await plate.boundingBox();
      assert.ok(close.width > whole.width * 2.5, "the picture grew");
      assert.ok(Math.abs(after.width - before.width) < 1, "the plate did not");
      const [px, py] = await onScreen(page, await markOf(page, 1));
      assert.ok(apart([after.x + after.width / 2, after.y + after.height / 2], [px, py]) < 1.5);
      await page.keyboard.press("0");
      const again = await page.locator(".marked").boundingBox();
      assert.ok(Math.abs(again.width - whole.width) < 1, "0 shows the whole photo again");
    });

    test("in Look a drag moves the photo and a tap on a plate opens its hole", async () => {
      await page.getByRole("button", { name: "Look", exact: true }).click();
      await page.getByRole("button", { name: "Zoom in" }).click();
      await page.getByRole("button", { name: "Zoom in" }).click();
      const before = await page.locator(".marked").boundingBox();
      const stage = await page.locator(".stage").boundingBox();
      const [x, y] = [stage.x + stage.width / 2, stage.y + stage.height / 2];
      await by.slide([[x, y], [x - 50, y - 30]]);
      const moved = await page.locator(".marked").boundingBox();
      assert.ok(moved.x < before.x - 20 && moved.y < before.y - 10, "the photo went with the drag");
      await page.getByRole("button", { name: "Fit the whole photo" }).click();
      await look(page, `${size}-photo-marked`);
      const [px, py] = await onScreen(page, await markOf(page, 1));
      if (options.hasTouch) await page.touchscreen.tap(px, py);
      else await page.mouse.click(px, py);
      await page.getByRole("heading", { level: 1, name: "Hole 1" }).waitFor();
      await page.waitForLoadState();
      await page.goBack();
    });

    test("a mark outside the photo, or no number, is refused in one sentence and changes nothing", async () => {
      const path = await page.locator(".marking").getAttribute("data-record");
      for (const [x, sentence] of [["-1", /outside the photo/], ["1e9", /outside the photo/], ["NaN", /not a number/], ["abc", /not a number/], ["", /not a number/]]) {
        const answer = await page.evaluate(
          async ([path, x]) => {
            const body = new URLSearchParams({ hole: "new", x_px: x, y_px: "5", part: "1" });
            const response = await fetch(path, { method: "POST", body });
            return [response.status, await response.text()];
          },
          [path, x],
        );
        assert.equal(answer[0], 422);
        assert.match(answer[1], sentence);
      }
      await page.reload();
      await page.getByRole("button", { name: "Mark", exact: true }).click();
      const holes = await nextMark(page).locator("option").last().textContent();
      assert.match(holes, /hole 5 \(new\)/, "no hole was made either");
    });

    test("the browser complained of nothing", () => assert.deepEqual(faults, []));
  });
}
