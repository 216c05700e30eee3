import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { test } from "node:test";

const FOLDER = new URL("../../client/vendor/", import.meta.url);

test("every vendored file is the one VERSIONS.md names, and none is unnamed", () => {
  const rows = readFileSync(new URL("VERSIONS.md", FOLDER), "utf8").matchAll(/^\| `([^`]+)` \|.*\| `([0-9a-f]{64})` \|$/gm);
  const named = Object.fromEntries([...rows].map(([, file, hash]) => [file, hash]));
  const files = readdirSync(FOLDER).filter((file) => file !== "VERSIONS.md");
  const found = files.map((file) => [file, createHash("sha256").update(readFileSync(new URL(file, FOLDER))).digest("hex")]);
  assert.deepEqual(named, Object.fromEntries(found));
});
