import assert from "node:assert/strict";
import { test } from "node:test";
import { MemoryStore } from "./memory_store.js";
import { simulate } from "./simulation.js";

const SEEDS = Number(process.env.SYNC_SEEDS ?? 120);

function phones() {
  return ["e", "f", "9"].map((digit) => {
    const store = new MemoryStore(digit.repeat(32));
    return { name: digit, store, keep: (make) => store.keep(make), keepPhoto: (photo) => store.keepPhoto(photo),
      everyEntry: () => store.everyEntry(), everyPhoto: () => store.everyPhoto(), alarm: async () => store.alarm };
  });
}

test(`${SEEDS} days with broken links and restored backups lose nothing`, async () => {
  const days = [];
  for (let seed = 1; seed <= SEEDS; seed += 1) {
    try {
      days.push(await simulate(seed, phones()));
    } catch (error) {
      assert.fail(`seed ${seed}: ${error.stack}`);
    }
  }
  const alarmed = days.filter((trace) => trace.some((word) => word.includes(" alarm "))).length;
  assert.ok(alarmed > 0 && alarmed < SEEDS, `${alarmed} days with an alarm`);
});

test("one seed lives the same day twice", async () => {
  for (const seed of [7, 21, 63]) assert.deepEqual(await simulate(seed, phones()), await simulate(seed, phones()));
});
