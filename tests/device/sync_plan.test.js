import assert from "node:assert/strict";
import { test } from "node:test";
import { differing, next_pause, plan_answer, plan_reconciled, plan_request, read_answer, within_limits }
  from "../../client/device/sync_plan.js";

const id = (digit) => digit.repeat(64);
const CARD = "b".repeat(32);
const CURSOR = { epoch: "one", after: 7 };
const refusal = { code: "not_allowed", sentence: "Ann may not record this.", fields: {} };
const entry = (digit) => ({ id: id(digit), text: `text ${digit}`, payload: { card: CARD } });
const news = (sequence, digit) => ({ sequence, kind: "entry", text: `text ${digit}` });

function answer(over) {
  return { epoch: "one", sequence: 9, more: false, answers: [], news: [], digests: {}, checkpoint: { note: "x", proof: [] }, phone: id("0"),
    ...over };
}

test("a request carries the cursor, the texts and the cards to compare", () => {
  assert.deepEqual(plan_request(CURSOR, [entry("1")], ["2", "1"], 12),
    { epoch: "one", after: 7, entries: ["text 1"], check: ["1", "2"], size: 12 });
});

test("a batch stops before the limit, but one entry always travels", () => {
  const batch = [{ text: "aaaa" }, { text: "bbbb" }, { text: "cc" }];
  const size = (text) => text.length;
  assert.deepEqual(within_limits(batch, 8, size), batch.slice(0, 2));
  assert.deepEqual(within_limits(batch, 1, size), batch.slice(0, 1));
  assert.deepEqual(within_limits(batch, 10, size), batch);
});

test("verdicts mark entries, and a refusal keeps its sentence", () => {
  const given = [{ id: id("1"), verdict: "kept" }, { id: id("2"), verdict: "refused", problem: refusal },
    { id: id("3"), verdict: "already_here" }, { id: id("9"), verdict: "refused", problem: refusal }];
  const change = plan_answer(CURSOR, ["1", "2", "3"].map(entry), answer({ answers: given }), []);
  assert.deepEqual(change.marks, [{ id: id("1"), state: "sent", problem: null },
    { id: id("2"), state: "refused", problem: refusal }, { id: id("3"), state: "sent", problem: null }]);
  assert.equal(change.answered, 3, "an answer about an entry that was not offered counts for nothing");
});

test("the cursor passes only what the page holds while more waits", () => {
  const page = answer({ sequence: 400, more: true, news: [news(8, "1"), news(9, "2")], digests: { [CARD]: id("d") } });
  const change = plan_answer(CURSOR, [], page, [entry("1"), entry("2")], ["c".repeat(32)]);
  assert.deepEqual(change.cursor, { epoch: "one", after: 9 });
  assert.deepEqual(change.compare, [], "half a set is not compared");
  assert.deepEqual(change.owed, ["c".repeat(32), CARD], "but it is owed a comparison");
});

test("news that cannot be verified is not passed over", () => {
  const bad = { problem: { code: "not_canonical" } };
  const page = answer({ news: [news(8, "1"), news(9, "2")], digests: { [CARD]: id("d") } });
  const change = plan_answer(CURSOR, [], page, [entry("1"), bad], []);
  assert.equal(change.cursor, null);
  assert.deepEqual(change.entries, [entry("1")], "what is good is kept");
  assert.deepEqual([change.problem.code, change.more, change.compare], ["not_canonical", false, []]);
});

test("another epoch offers everything again; the first epoch ever does not", () => {
  assert.equal(plan_answer(CURSOR, [], answer({ epoch: "two" }), []).reopen, true);
  assert.equal(plan_answer({ epoch: null, after: 0 }, [], answer({}), []).reopen, false);
  assert.equal(plan_answer(CURSOR, [], answer({}), []).reopen, false);
});

test("what the server lacks is offered again, what the phone lacks is kept", () => {
  const change = plan_reconciled(CURSOR, { lack: [id("1")] }, [entry("2")]);
  assert.deepEqual(change.marks, [{ id: id("1"), state: "unsent", problem: null }]);
  assert.deepEqual([change.entries, change.cursor], [[entry("2")], null]);
});

test("cards differ when the digests do, or when the server gave none", () => {
  assert.deepEqual(differing({ a: "1", b: "2" }, { a: "1", b: "3", c: "4" }), ["b", "c"]);
});

test("an answer of another shape is refused with words, never applied", () => {
  const wrong = [null, {}, answer({ epoch: null }), answer({ sequence: "9" }), answer({ more: 1 }),
    answer({ answers: [{ id: id("1"), verdict: "maybe" }] }), answer({ answers: [{ id: "x", verdict: "kept" }] }),
    answer({ answers: [{ id: id("1"), verdict: "refused", problem: null }] }), answer({ news: [{ sequence: 1 }] }),
    answer({ news: [{ sequence: 1, kind: "card", card: { card: "../x", revision: id("1") } }] }),
    answer({ news: [{ sequence: 1, kind: "card", card: { card: CARD, revision: id("1"), code: "../x" } }] }),
    answer({ digests: { [CARD]: "short" } }), answer({ digests: null }), answer({ checkpoint: null }),
    answer({ checkpoint: { note: "x" } }), answer({ phone: null })];
  for (const given of wrong) {
    assert.throws(() => read_answer(given), ({ code }) => code === "server_answer_wrong", JSON.stringify(given));
  }
  assert.deepEqual(read_answer(answer({})), answer({}));
});

test("pauses double up to five minutes and are spread", () => {
  assert.deepEqual([1, 2, 3, 9, 900].map((failures) => next_pause(failures, 0.5)), [2000, 4000, 8000, 300000, 300000]);
  assert.deepEqual([next_pause(1, 0), next_pause(1, 1)], [1500, 2500]);
});
