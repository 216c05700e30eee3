/* The shared cases of tests/vectors, run through the JavaScript rules. test_vectors.py runs the same ones. */
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import test from "node:test";
import { Problem } from "../client/rules/problems.js";

const FOLDER = new URL("./vectors/", import.meta.url);

function unpacked(value) {
  if (value === null || typeof value !== "object") return value;
  if (Object.keys(value).join() !== "ratio") return each(value, unpacked);
  const [n, d] = value.ratio.split("/").map(BigInt);
  return { n, d };
}

function packed(value) {
  if (value === null || typeof value !== "object") return value ?? null;
  if (typeof value.n !== "bigint") return each(value, packed);
  const divisor = common(value.n < 0n ? -value.n : value.n, value.d);
  return { ratio: `${value.n / divisor}/${value.d / divisor}` };
}

function each(value, turn) {
  if (Array.isArray(value)) return value.map(turn);
  if (Object.getPrototypeOf(value) !== Object.prototype) return value;
  return Object.fromEntries(Object.entries(value).map(([name, one]) => [name, turn(one)]));
}

function common(a, b) {
  return b === 0n ? a : common(b, a % b);
}

for (const file of readdirSync(FOLDER).filter((name) => name.endsWith(".json")).sort()) {
  const { count, cases } = JSON.parse(readFileSync(new URL(file, FOLDER), "utf8"));
  const rules = await import(new URL(`../client/rules/${file.replace(".json", ".js")}`, import.meta.url));
  test(`${file} has ${count} cases`, () => assert.equal(cases.length, count));
  cases.forEach((one, number) => test(`${file} ${number}: ${one.why}`, async () => {
    const call = async () => rules[one.function](...one.in.map(unpacked));
    if (one.problem) {
      await assert.rejects(call, (error) => error instanceof Problem && error.code === one.problem);
    } else {
      assert.deepEqual(packed(await call()), one.out);
    }
  }));
}
