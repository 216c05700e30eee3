import assert from "node:assert/strict";
import { test } from "node:test";
import { judge_checkpoint } from "../../client/device/log_check.js";
import { make_entry } from "../../client/rules/entry.js";
import { Syncer } from "../../client/device/syncer.js";
import { MemoryStore } from "./memory_store.js";
import { ModelLog, consistency, root } from "./model_log.js";
import { ModelServer } from "./model_server.js";
import { seeded } from "./simulation.js";

const NAME = `witnessmark/${"a".repeat(32)}`;
const LARGEST = 33;
const leaves = Array.from({ length: LARGEST }, (_, at) => `leaf ${at}`);
const log = new ModelLog(NAME);

async function held(some) {
  return { size: some.length, root: await root(some), note: "", key: await log.public_key() };
}

async function judged(before, now, proof = null) {
  const checkpoint = { note: await log.note(now), proof: proof ?? await consistency(before?.size ?? 0, now) };
  return judge_checkpoint(before, checkpoint, { name: NAME, key: await log.public_key() });
}

test("RFC 9162 2.1: the oracle gives the published roots of the certificate-transparency test leaves", async () => {
  // Roots of the first eight leaves of the reference tests of certificate-transparency-go (merkle_test; from memory).
  assert.equal(await root([]), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  assert.equal(await root([""]), "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d");
});

test("every log that only grew is accepted: all sizes up to 33 against all larger ones", async () => {
  let pairs = 0;
  for (let first = 0; first <= LARGEST; first += 1) {
    const before = await held(leaves.slice(0, first));
    for (let second = first; second <= LARGEST; second += 1) {
      const { alarm, problem } = await judged(before, leaves.slice(0, second));
      assert.deepEqual([alarm, problem], [null, null], `${first} to ${second}`);
      pairs += 1;
    }
  }
  assert.equal(pairs, 34 * 35 / 2);
});

const REWRITES = {
  "one leaf changed": (some, at) => some.map((leaf, place) => (place === at ? `${leaf}!` : leaf)),
  "one leaf taken out, another put at the end": (some, at) => [...some.filter((_, place) => place !== at), "new"],
  "one leaf put in": (some, at) => [...some.slice(0, at), "put in", ...some.slice(at)],
  "two leaves swapped": (some, at, other) => some.map((leaf, place) =>
    (place === at ? some[other] : place === other ? some[at] : leaf)),
};

test("a log rewritten by who has the server's key is found, with whatever proof that server can make", async () => {
  const random = seeded(7);
  let found = 0;
  for (const [how, rewrite] of Object.entries(REWRITES)) {
    for (let turn = 0; turn < 60; turn += 1) {
      const size = 2 + Math.floor(random() * (LARGEST - 2));
      const at = Math.floor(random() * size);
      const before = await held(leaves.slice(0, size));
      const longer = leaves.slice(0, size + Math.floor(random() * (LARGEST + 1 - size)));
      const now = rewrite(longer, at, (at + 1) % size);
      const proofs = [null, [], await consistency(size, leaves.slice(0, Math.max(now.length, size)))];
      for (const proof of proofs) {
        const { alarm } = await judged(before, now, proof);
        assert.equal(alarm?.code, "log_rewritten", `${how}: size ${size}, leaf ${at}, now ${now.length}`);
        found += 1;
      }
    }
  }
  assert.equal(found, 720);
});

test("a shorter log says how much both know, and another key or another name is an alarm of its own", async () => {
  const before = await held(leaves.slice(0, 20));
  assert.deepEqual((await judged(before, leaves.slice(0, 12))).alarm, { code: "log_set_back", fields: { server: 12, phone: 20 } });
  const other = new ModelLog(NAME);
  const forged = { note: await other.note(leaves), proof: await consistency(20, leaves) };
  const changed = { code: "log_key_changed", fields: {} };
  for (const key of [await log.public_key(), await other.public_key()]) {
    assert.deepEqual((await judge_checkpoint(before, forged, { name: NAME, key })).alarm, changed);
  }
  const key = await log.public_key();
  for (const note of [await new ModelLog("witnessmark/other").note(leaves), await log.note(leaves, "witnessmark/other")]) {
    assert.deepEqual((await judge_checkpoint(null, { note, proof: [] }, { name: NAME, key })).alarm, changed);
  }
});

test("a note that cannot be read, or has no signature, is an alarm: else a server could leave out its proof", async () => {
  const before = await held(leaves.slice(0, 20));
  const good = await log.note(leaves);
  const [body] = good.split("\n\n");
  const facts = { name: NAME, key: before.key };
  for (const note of ["", "no checkpoint", body, `${body}\n`, `${body}\n\n`, good.replaceAll("\u2014", "-")]) {
    for (const known of [before, null]) {
      const { log: kept, alarm, problem } = await judge_checkpoint(known, { note, proof: [] }, facts);
      assert.deepEqual([kept, alarm.code, problem.code], [known, "log_key_changed", "note_malformed"], JSON.stringify(note));
    }
  }
});

test("a log that did not grow by what it just took in is an alarm: the old checkpoint shown again hides it", async () => {
  const before = await held(leaves.slice(0, 20));
  for (const [size, kept, code] of [[20, 1, "log_rewritten"], [22, 3, "log_rewritten"], [23, 3, undefined], [20, 0, undefined],
    [33, 3, undefined], [12, 1, "log_set_back"]]) {
    const checkpoint = { note: await log.note(leaves.slice(0, size)), proof: await consistency(20, leaves.slice(0, size)) };
    const { alarm } = await judge_checkpoint(before, checkpoint, { name: NAME, key: before.key }, kept);
    assert.equal(alarm?.code, code, `${size} leaves, ${kept} kept`);
  }
});

test("a browser without Ed25519 says so and still finds a rewritten log", async () => {
  const before = await held(leaves.slice(0, 20));
  const checkpoint = { note: await log.note(leaves), proof: await consistency(20, leaves) };
  const rewritten = { note: await log.note(leaves.slice(1)), proof: [] };
  const facts = { name: NAME, key: before.key };
  const real = crypto.subtle.importKey;
  Object.defineProperty(crypto.subtle, "importKey", { configurable: true, value: function (format, data, algorithm, ...rest) {
    const name = algorithm.name ?? algorithm;
    if (name === "Ed25519") return Promise.reject(new DOMException("Unrecognized algorithm", "NotSupportedError"));
    return real.call(this, format, data, algorithm, ...rest);
  } });
  try {
    const good = await judge_checkpoint(before, checkpoint, facts);
    assert.deepEqual([good.problem.code, good.alarm], ["note_unverifiable", null]);
    assert.equal((await judge_checkpoint(before, rewritten, facts)).alarm.code, "log_rewritten");
    const others = [{ ...facts, name: "witnessmark/other" }, { ...facts, key: "1".repeat(64) }];
    for (const other of others) {
      assert.equal((await judge_checkpoint(before, checkpoint, other)).alarm.code, "log_key_changed");
    }
  } finally {
    delete crypto.subtle.importKey;
  }
});

test("a phone whose server rewrote its log goes on working, holds what it had seen, and says so", async () => {
  const store = new MemoryStore("e".repeat(32));
  const server = new ModelServer();
  for (const name of ["1", "2", "3"]) server.addCard({ card: name.repeat(32), revision: "c".repeat(64) });
  server.templates.set("c".repeat(64), "{}");
  await new Syncer({ store, api: server }).now();
  const seen = store.log;
  assert.deepEqual([seen.size, store.alarm], [3, null]);
  server.leaves[1] = "rewritten";
  server.addCard({ card: "4".repeat(32), revision: "c".repeat(64) });
  const status = await new Syncer({ store, api: server }).now();
  assert.deepEqual([status.state, store.alarm.code, store.log, store.cards.size], ["idle", "log_rewritten", seen, 4]);
});

test("a phone whose server shows no readable note, or the same one for ever, says so and goes on working", async () => {
  for (const [note, code] of [["nothing", "log_key_changed"], [null, "log_rewritten"]]) {
    const [store, server] = [new MemoryStore("e".repeat(32)), new ModelServer()];
    server.addCard({ card: "1".repeat(32), revision: "c".repeat(64) });
    server.templates.set("c".repeat(64), "{}");
    await new Syncer({ store, api: server }).now();
    const seen = store.log;
    const [real, api] = [server.sync.bind(server), Object.create(server)];
    api.sync = async (told) => ({ ...await real(told), checkpoint: { note: note ?? seen.note, proof: [] } });
    await store.keep((chain) => make_entry({ ...chain, kind: "result", server: "a".repeat(32), card: "1".repeat(32),
      revision: "c".repeat(64), aircraft: { registration: "N0417W", serial_number: "0042" }, item: "tube_surface",
      supersedes: [], author: { person: "d".repeat(32), name: "Ann", certificate: { kind: "mechanic", number: "1" } },
      claimed_at: "2026-11-25T08:00:00Z",
      body: { result: "pass", readings: {}, note: "", photos: [], discrepancy: null } }));
    const status = await new Syncer({ store, api }).now();
    assert.deepEqual([status.unsent, store.alarm.code, store.log], [0, code, seen]);
  }
});
