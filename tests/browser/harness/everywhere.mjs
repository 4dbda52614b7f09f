// A page as people have it at both sizes, in bright light and in the dark.

import { enter, sizes } from "./browser.mjs";
import { look } from "./look.mjs";

/** The rooms in which a page is looked at: the bench by day, the barn in the dark; with ROOMS=all the other two as well. */
const rooms = [
  ["desk", "light"],
  ["phone", "dark"],
  ...(process.env.ROOMS === "all" ? [["desk", "dark"], ["phone", "light"]] : []),
];

/** Looks at the page at `path` in each room, on the phone's carrier at the phone's size; gives what the browser complained of. */
export async function everywhere(browser, notebook, path, name) {
  const complaints = [];
  for (const [size, colorScheme] of rooms) {
    if (notebook.on === "phone" && size !== "phone") continue;
    const { context, page, faults } = await enter(browser, notebook, { ...sizes[size], colorScheme });
    await page.goto(new URL(path, notebook.address).href);
    await look(page, `${size}-${colorScheme}-${name}`);
    complaints.push(...faults);
    await context.close();
  }
  return complaints;
}
