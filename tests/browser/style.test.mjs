// The style sheet takes its sizes from tokens.css only: no other length for type, spacing, borders
// or radii, and each breakpoint once. The margin of paper is exempt: it cannot use custom
// properties.

import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { describe, test } from "node:test";
import { fileURLToPath } from "node:url";

const folder = fileURLToPath(new URL("../../bindings/screens/assets/", import.meta.url));
const files = readdirSync(folder).filter((name) => name.endsWith(".css"));
const read = (name) => readFileSync(`${folder}${name}`, "utf8").replaceAll(/\/\*[^]*?\*\/|@page \{[^}]*\}/g, "");

/** The declarations of some properties in all files but the tokens: "property: value". */
function declarations(properties) {
  const pattern = new RegExp(`(?<![\\w-])(?:${properties}):[^;}]+`, "g");
  return files.filter((name) => name !== "tokens.css").flatMap((name) => read(name).match(pattern) ?? []);
}

/** Those with a length that is not a token's. */
const withOwnLength = (found) => found.filter((declaration) => /(?<![\w-])[\d.]*\d(?:px|rem|em|pt|mm)\b/.test(declaration));

describe("the style sheet", () => {
  for (const [what, properties] of [
    ["spacing", "(?:row-|column-)?gap|(?:margin|padding)(?:-\\w+)?"],
    ["type size", "font-size"],
    ["border", "border(?:-\\w+)*|outline(?:-width)?"],
  ]) {
    test(`every ${what} is a token`, () => {
      const found = declarations(properties);
      assert.ok(found.length > 10, `${found.length} found`);
      assert.deepEqual(withOwnLength(found), []);
    });
  }

  test("every token is used, and every token that is used exists", () => {
    const defined = new Set(read("tokens.css").match(/--[\w-]+(?=:)/g));
    const used = new Set(files.flatMap((name) => read(name).match(/(?<=var\()--[\w-]+/g) ?? []));
    assert.deepEqual([...used].filter((name) => !defined.has(name)), []);
    assert.deepEqual([...defined].filter((name) => !used.has(name)), []);
  });

  test("each breakpoint is written once", () => {
    const breakpoints = files.flatMap((name) => read(name).match(/@media \((?:min|max)-width:[^)]+\)/g) ?? []);
    assert.deepEqual(breakpoints, [...new Set(breakpoints)]);
  });
});
