/* Answers batches of calls of the rules, one JSON list a line: what test_random_twins.py compares with Python. */
import { createInterface } from "node:readline";
import { Problem } from "../client/rules/problems.js";

const loaded = new Map();

async function rules(module) {
  if (!loaded.has(module)) loaded.set(module, await import(`../client/rules/${module}.js`));
  return loaded.get(module);
}

function unpacked(value) {
  if (value === null || typeof value !== "object") return value;
  if (Array.isArray(value)) return value.map(unpacked);
  if (typeof value.ratio !== "string") {
    return Object.fromEntries(Object.entries(value).map(([name, one]) => [name, unpacked(one)]));
  }
  const [n, d] = value.ratio.split("/").map(BigInt);
  return { n, d };
}

function packed(value) {
  if (value === null || value === undefined) return null;
  if (typeof value !== "object") return value;
  if (Array.isArray(value)) return value.map(packed);
  if (typeof value.n === "bigint") return { ratio: lowest(value) };
  return Object.fromEntries(Object.keys(value).sort().map((name) => [name, packed(value[name])]));
}

function lowest({ n, d }) {
  let [a, b] = [n < 0n ? -n : n, d];
  while (b) [a, b] = [b, a % b];
  return `${n / a}/${d / a}`;
}

async function answer([name, given]) {
  const [module, called] = name.split(" ")[0].split(".");
  try {
    return JSON.stringify({ out: packed((await rules(module))[called](...given.map(unpacked))) });
  } catch (error) {
    if (!(error instanceof Problem)) return JSON.stringify({ broke: String(error) });
    return JSON.stringify({ problem: error.code, sentence: error.sentence });
  }
}

for await (const line of createInterface({ input: process.stdin })) {
  const answers = [];
  for (const call of JSON.parse(line)) answers.push(await answer(call));
  process.stdout.write(`${JSON.stringify(answers)}\n`);
}
