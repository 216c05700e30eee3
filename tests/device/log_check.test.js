import assert from "node:assert/strict";
import { test } from "node:test";
import { judge_checkpoint, proves } from "../../client/device/log_check.js";
import { make_entry } from "../../client/rules/entry.js";
import { Syncer } from "../../client/device/syncer.js";
import { canonical_text } from "../../client/rules/canonical.js";
import { Problem } from "../../client/rules/problems.js";
import { ServerProblem } from "../../client/device/api.js";
import { MemoryStore } from "./memory_store.js";
import { ModelLog, consistency, path, root } from "./model_log.js";
import { CALLS, ModelServer } from "./model_server.js";
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

test("only a checkpoint that the log's key signed under the log's name can be accepted later", async () => {
  const [other, key] = [new ModelLog(NAME), await log.public_key()];
  const before = await held(leaves.slice(0, 20));
  const shorter = leaves.slice(0, 12);
  const told = async (note, facts) =>
    (await judge_checkpoint(before, { note, proof: [] }, { name: NAME, key, ...facts })).verified;
  assert.equal(await told(await log.note(shorter)), true, "set back, but by the server of before");
  assert.equal(await told(await other.note(shorter)), false, "signed by somebody else");
  assert.equal(await told(await other.note(shorter), { key: await other.public_key() }), true, "the key that the shop now names");
  assert.equal(await told(await log.note(shorter), { key: await other.public_key() }), false, "not by the key it now names");
  assert.equal(await told(await log.note(shorter, "witnessmark/other")), false, "another log");
  assert.equal(await told("nothing"), false);
  const good = await log.note(shorter);
  assert.equal(await told(good.replace("\n12\n", "\n13\n")), false, "changed after signing");
});

const ENTRY = { id: "1".repeat(64), signed: "2".repeat(64) };
const leafOf = (over) => canonical_text({ kind: "entry", at: "2026-11-25T08:00:00Z", ...ENTRY, ...over });

test("RFC 9162 2.1.3: an entry is proved at every place of every tree up to 17 leaves, and only there", async () => {
  for (let size = 1; size <= 17; size += 1) {
    for (let at = 0; at < size; at += 1) {
      const some = leaves.slice(0, size).with(at, leafOf());
      const answer = { number: at + 1, leaf: leafOf(), size, root: await root(some), proof: await path(at, some) };
      const tree = await held(some);
      assert.equal(await proves(tree, ENTRY, answer), true, `${at} of ${size}`);
      const wrong = [{ number: at }, { number: at + 2 }, { number: "1" }, { proof: [...answer.proof, "0".repeat(64)] },
        { proof: null }, { leaf: leafOf({ admitted_by: "x" }) }, { leaf: null }];
      for (const over of wrong) assert.equal(await proves(tree, ENTRY, { ...answer, ...over }), false, JSON.stringify(over));
      // A tree of the server's choosing proves nothing: only the held root counts.
      assert.equal(await proves(await held(leaves.slice(0, size)), ENTRY, answer), false);
    }
  }
});

test("a leaf that is in the log but states something else proves nothing", async () => {
  const wrong = [leafOf({ kind: "refused" }), leafOf({ id: "3".repeat(64) }), leafOf({ signed: "3".repeat(64) }), "null", "[]",
    leafOf().replace(":", ": "), "no JSON"];
  for (const leaf of wrong) {
    const some = [...leaves.slice(0, 5), leaf];
    const answer = { number: 6, leaf, proof: await path(5, some) };
    assert.equal(await proves(await held(some), ENTRY, answer), false, leaf);
  }
  for (const answer of [null, undefined, {}, []]) assert.equal(await proves(await held(leaves), ENTRY, answer), false);
});

const passes = (store, note = "") => store.keep((chain) => make_entry({ ...chain, kind: "result", server: "a".repeat(32),
  card: "1".repeat(32), revision: "c".repeat(64), aircraft: { registration: "N0417W", serial_number: "0042" },
  item: "tube_surface", supersedes: [], author: { person: "d".repeat(32), name: "Ann",
    certificate: { kind: "mechanic", number: "1" } },
  claimed_at: "2026-11-25T08:00:00Z", body: { result: "pass", readings: {}, note, photos: [], discrepancy: null } }));

/** A shop with one card, a phone `here`, and a colleague's entry that it takes in; `over(server)` replaces calls of the api. */
async function colleague(over = () => ({})) {
  const server = new ModelServer();
  server.addCard({ card: "1".repeat(32), revision: "c".repeat(64) });
  server.templates.set("c".repeat(64), "{}");
  const asked = [];
  const calls = Object.fromEntries(CALLS.map((name) => [name, (...given) => server[name](...given)]));
  const api = { ...calls, ...over(server) };
  const { inclusion } = api;
  api.inclusion = (...given) => {
    asked.push(given);
    return inclusion(...given);
  };
  const [here, there] = [new MemoryStore("e".repeat(32)), new MemoryStore("f".repeat(32))];
  await new Syncer({ store: here, api }).now();
  await new Syncer({ store: there, api: server }).now();
  const entry = await passes(there);
  await new Syncer({ store: there, api: server }).now();
  assert.equal(there.alarm, null);
  return { server, api, here, there, entry, asked };
}

test("the newest of the news and the newest of one's own are proved, once; a quiet sync asks for nothing", async () => {
  const { server, api, here, there, entry, asked } = await colleague();
  assert.deepEqual(asked, [], "cards are no entries");
  await new Syncer({ store: here, api }).now();
  assert.deepEqual([asked, here.alarm, here.owed], [[[entry.id, here.log.size]], null, {}]);
  asked.length = 0;
  await new Syncer({ store: here, api }).now();
  assert.deepEqual(asked, []);
  await passes(there, "more");
  const theirs = await passes(there, "and more");
  await new Syncer({ store: there, api: server }).now();
  await passes(here, "mine");
  const mine = await passes(here, "mine again");
  await new Syncer({ store: here, api }).now();
  assert.deepEqual(asked.sort(), [[theirs.id, here.log.size], [mine.id, here.log.size]].sort());
  assert.deepEqual([here.alarm, here.owed], [null, {}]);
});

const FROZEN = {
  "the entry is in no log": () => ({}),
  "another text of the entry is": ({ leaf, server }) => server.leaves.push(leaf({ signed: "3".repeat(64) })),
  "another entry is": ({ leaf, server }) => server.leaves.push(leaf({ id: "3".repeat(64) })),
  "only its refusal is": ({ leaf, server }) => server.leaves.push(leaf({ kind: "refused" })),
};

for (const [how, put] of Object.entries(FROZEN)) {
  test(`a colleague's entry without its leaf raises the alarm and stops nothing: ${how}`, async () => {
    const { server, api, here, entry } = await colleague();
    const real = JSON.parse(server.leaves.pop());
    put({ server, leaf: (over) => canonical_text({ ...real, ...over }) });
    const { state, unsent } = await new Syncer({ store: here, api }).now();
    assert.deepEqual([state, unsent, here.alarm?.code, [...here.entries.keys()]], ["idle", 0, "log_rewritten", [entry.id]]);
    assert.deepEqual(here.owed, {}, "said once; the alarm stays until somebody has asked");
  });
}

test("beside an alarm about the checkpoint nothing is asked: the held one is not the one that the server shows", async () => {
  const { server, api, here, there, asked } = await colleague();
  await new Syncer({ store: here, api }).now();
  asked.length = 0;
  server.leaves.length = 0;
  await passes(there, "after the records were removed");
  await new Syncer({ store: there, api: server }).now();
  await new Syncer({ store: here, api }).now();
  assert.deepEqual([asked, here.alarm?.code, here.entries.size], [[], "log_set_back", 2]);
});

test("a proof made up for another tree raises the alarm", async () => {
  const { server, api, here } = await colleague((model) => ({ inclusion: async (id) => {
    const leaves = [model.lost];
    return { number: 1, leaf: model.lost, size: 1, root: await root(leaves), proof: [] };
  } }));
  server.lost = server.leaves.pop();
  await new Syncer({ store: here, api }).now();
  assert.equal(here.alarm?.code, "log_rewritten");
});

test("own work said to be here already, but in no log, raises the alarm too", async () => {
  const { server, api, here } = await colleague();
  await new Syncer({ store: here, api }).now();
  const mine = await passes(here);
  await server.take(mine.text, new Set());
  server.leaves.pop();
  await new Syncer({ store: here, api }).now();
  assert.equal(here.alarm?.code, "log_rewritten");
});

test("an entry handed over only when sets are compared must be in the log as well", async () => {
  for (const honest of [true, false]) {
    const { server, api, here, entry } = await colleague();
    await new Syncer({ store: here, api }).now();
    here.entries.delete(entry.id);
    if (!honest) server.leaves.pop();
    if (!honest) here.log = { ...here.log, ...(await held(server.leaves)), key: here.log.key };
    const asking = new Syncer({ store: here, api });
    await asking.now();
    assert.deepEqual([[...here.entries.keys()], here.alarm?.code], [[entry.id], honest ? undefined : "log_rewritten"]);
  }
});

test("a server that does not answer is no alarm: the proof is owed until it comes", async () => {
  const failures = [new Problem("server_unreachable"), new ServerProblem(503, { code: "busy", sentence: "Busy.", fields: {} }),
    new ServerProblem(429, { code: "slow", sentence: "Slow.", fields: {} })];
  for (const failure of failures) {
    let away = true;
    const { api, here, asked, entry } = await colleague((server) => ({ inclusion: async (...given) => {
      if (away) throw failure;
      return server.inclusion(...given);
    } }));
    const status = await new Syncer({ store: here, api }).now();
    assert.deepEqual([status.state, status.problem, here.alarm, here.owed.news.id], ["idle", failure, null, entry.id]);
    away = false;
    await new Syncer({ store: here, api }).now();
    assert.deepEqual([asked.length, here.alarm, here.owed], [2, null, {}]);
  }
});

test("a proof is owed across a failure: who was away when it was due and then lies is found", async () => {
  let away = true;
  const { server, api, here } = await colleague((model) => ({ inclusion: async (...given) => {
    if (away) throw new Problem("server_unreachable");
    return model.inclusion(...given);
  } }));
  server.leaves.pop();
  await new Syncer({ store: here, api }).now();
  assert.equal(here.alarm, null);
  away = false;
  await new Syncer({ store: here, api }).now();
  assert.equal(here.alarm?.code, "log_rewritten");
});

test("a checkpoint older than the claim, held by another tab, is asked nothing", async () => {
  const { api, here, asked } = await colleague();
  const keep = here.keep_log.bind(here);
  here.keep_log = async () => false;
  await new Syncer({ store: here, api }).now();
  assert.deepEqual([asked, here.alarm], [[], null]);
  here.keep_log = keep;
  await new Syncer({ store: here, api }).now();
  assert.deepEqual([asked.length, here.alarm, here.owed], [1, null, {}]);
});
