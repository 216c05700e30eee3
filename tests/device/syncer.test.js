import assert from "node:assert/strict";
import { test } from "node:test";
import { ServerProblem } from "../../client/device/api.js";
import { Problem } from "../../client/rules/problems.js";
import { canonical_text } from "../../client/rules/canonical.js";
import { make_entry } from "../../client/rules/entry.js";
import { ENTRY_TYP, signing_input } from "../../client/rules/signature.js";
import { sign_with } from "../../client/device/unlocked.js";
import { sha256_hex } from "../../client/device/hash.js";
import { send_photos } from "../../client/device/sync_photos.js";
import { Syncer } from "../../client/device/syncer.js";
import { MemoryStore } from "./memory_store.js";
import { CALLS, ModelServer } from "./model_server.js";
import { signed, signer_of } from "./signers.js";

const CARD = "b".repeat(32);

async function annKeeps(store, over = {}) {
  return store.keep((chain) => make_entry({ ...chain, kind: "result", server: "a".repeat(32), card: CARD,
    revision: "c".repeat(64), aircraft: { registration: "N0417W", serial_number: "0042" }, item: "tube_surface",
    supersedes: [], author: { person: "d".repeat(32), name: "Ann", certificate: { kind: "mechanic", number: "1" } },
    claimed_at: "2026-11-25T08:00:00Z",
    body: { result: "pass", readings: {}, note: "", photos: [], discrepancy: null, ...over } }));
}

async function annsPhoto(store, size) {
  const bytes = new Uint8Array(size).map((_, at) => at % 251);
  const photo = { sha256: await sha256_hex(bytes), type: "image/jpeg", buffer: bytes.buffer };
  await store.keepPhoto(photo);
  await annKeeps(store, { photos: [{ sha256: photo.sha256, bytes: size, type: "image/jpeg", caption: "" }] });
  return photo;
}

function broken(over) {
  const server = new ModelServer();
  return { server, api: { ...Object.fromEntries(CALLS.map((name) => [name, (...given) => server[name](...given)])), ...over(server) } };
}

function fails(error) {
  return broken(() => ({ sync: async () => { throw error; } })).api;
}

const asServer = (status) => new ServerProblem(status, { code: "x", sentence: `Answer ${status}.`, fields: {} });

test("every kind of failure has its state, its sentence, and loses nothing", async () => {
  const cases = [[new Problem("server_unreachable"), "offline"], [asServer(503), "offline"], [asServer(429), "offline"],
    [asServer(401), "signed_out"], [asServer(403), "refused"], [asServer(413), "refused"],
    [new Problem("server_answer_wrong", { detail: "x" }), "refused"]];
  for (const [error, state] of cases) {
    const store = new MemoryStore("e".repeat(32));
    await annKeeps(store);
    const status = await new Syncer({ store, api: fails(error) }).now();
    assert.deepEqual([status.state, status.problem, status.unsent], [state, error, 1]);
  }
});

test("nobody signed in: nothing is asked of the server", async () => {
  const store = new MemoryStore("e".repeat(32));
  store.sync_facts = async () => ({ person: null, cursor: { epoch: null, after: 0 }, cards: [] });
  const status = await new Syncer({ store, api: {} }).now();
  assert.equal(status.state, "signed_out");
});

test("a server that gives no verdict is not asked for ever", async () => {
  const store = new MemoryStore("e".repeat(32));
  await annKeeps(store);
  const { api } = broken((server) => ({ sync: async (request) => ({ ...(await server.sync(request)), answers: [], news: [] }) }));
  const status = await new Syncer({ store, api }).now();
  assert.deepEqual([status.state, status.problem.code, status.unsent], ["refused", "server_answer_wrong", 1]);
});

test("a server whose set never agrees is named, not asked for ever", async () => {
  const store = new MemoryStore("e".repeat(32));
  await annKeeps(store);
  let asked = 0;
  const { api } = broken((server) => ({ sync: async (request) => {
    asked += 1;
    return { ...(await server.sync(request)), digests: { [CARD]: "0".repeat(64) } };
  } }));
  const status = await new Syncer({ store, api }).now();
  assert.deepEqual([status.state, status.problem.code, status.unsent, asked], ["idle", "sets_differ", 0, 3]);
});

const STRANGER = "f".repeat(32);
/* What an attacker on the server could slip in: each beside an honest entry `other` of another phone. */
const FORGERIES = {
  "the text was changed after signing": ["signature_wrong", async (other) => {
    const [, , signature] = other.text.split(".");
    const changed = { ...other.payload, body: { ...other.payload.body, result: "not_applicable" } };
    return `${signing_input(other.kid, ENTRY_TYP, canonical_text(changed))}.${signature}`;
  }],
  "the signature is another entry's": ["signature_wrong", async (other, own) =>
    [...other.text.split(".").slice(0, 2), own.text.split(".")[2]].join(".")],
  "nobody knows the key": ["key_unknown", async (other) => {
    const { key } = await signer_of(STRANGER, "d".repeat(32));
    return sign_with({ kid: "A".repeat(43), key }, ENTRY_TYP, canonical_text(other.payload));
  }],
  "another person's key on the same phone": ["key_of_other", async (other) => {
    const { kid, key } = await signer_of(STRANGER, "9".repeat(32));
    return sign_with({ kid, key }, ENTRY_TYP, canonical_text(other.payload));
  }],
  "the same person's key on another phone": ["key_of_other", async (other) => signed("e".repeat(32), other.payload)],
  "it is not signed at all": ["jws_malformed", async (other) => canonical_text(other.payload)],
  "its payload is not canonical": ["not_canonical", async (other) => {
    const { kid, key } = await signer_of(STRANGER, "d".repeat(32));
    return sign_with({ kid, key }, ENTRY_TYP, canonical_text(other.payload).replace("{", "{ "));
  }],
};

for (const [how, [code, forge]] of Object.entries(FORGERIES)) {
  test(`forged news (${how}) is not kept, the good beside it is, and the phone's own work still counts as sent`, async () => {
    const store = new MemoryStore("e".repeat(32));
    const own = await annKeeps(store);
    const other = await annKeeps(new MemoryStore(STRANGER));
    const forged = await forge(other, own);
    const { api } = broken((server) => ({ sync: async (request) => ({ ...(await server.sync(request)),
      news: [{ sequence: 1, kind: "entry", text: forged }, { sequence: 2, kind: "entry", text: other.text }] }) }));
    const status = await new Syncer({ store, api }).now();
    assert.equal(status.problem.code, code);
    assert.deepEqual([...store.entries.values()].map(({ id, state }) => [id, state]), [[own.id, "sent"], [other.id, "sent"]]);
    assert.equal((await store.sync_facts()).cursor.after, 0, "the page is asked for again");
  });
}

test("a key enrolled after the phone last asked is fetched, once", async () => {
  const store = new MemoryStore("e".repeat(32));
  let asked = 0;
  const { server, api } = broken((model) => ({ phone_facts: () => {
    asked += 1;
    return model.phone_facts();
  } }));
  await new Syncer({ store, api }).now();
  const other = await annKeeps(new MemoryStore("1234".repeat(8)));
  await server.take(other.text, new Set());
  const status = await new Syncer({ store, api }).now();
  assert.deepEqual([status.problem, [...store.entries.keys()], asked], [null, [other.id], 2]);
});

test("news by a key that was enrolled while the server answered is verified all the same", async () => {
  const store = new MemoryStore("e".repeat(32));
  const { server, api } = broken((model) => ({ sync: async (request) => ({ ...(await model.sync(request)),
    ...(store.phone && { phone: store.phone.digest }) }) }));
  await new Syncer({ store, api }).now();
  const other = await annKeeps(new MemoryStore("4321".repeat(8)));
  await server.take(other.text, new Set());
  const status = await new Syncer({ store, api }).now();
  assert.deepEqual([status.problem, [...store.entries.keys()]], [null, [other.id]]);
});

test("a session that ended is begun anew by the key, where it is open, and then everything goes", async () => {
  for (const renewed of [true, false]) {
    const store = new MemoryStore("e".repeat(32));
    await annKeeps(store);
    let signedIn = false;
    const { api } = broken((server) => ({ sync: async (request) => {
      if (!signedIn) throw asServer(401);
      return server.sync(request);
    } }));
    const status = await new Syncer({ store, api, renew: async () => (signedIn = renewed) }).now();
    assert.deepEqual([status.state, status.unsent], renewed ? ["idle", 0] : ["signed_out", 1]);
  }
});

test("while the server knows another person here, what is signed is sent in their session", async () => {
  const store = new MemoryStore("e".repeat(32));
  const { api } = broken(() => ({}));
  await annKeeps(store);
  const follow = async () => { throw new Problem("session_of_other"); };
  const status = await new Syncer({ store, api, follow }).now();
  assert.deepEqual([status.state, status.unsent], ["idle", 0]);
});

test("the lease runs from the last exchange with the server, also when a photo failed after it", async () => {
  const store = new MemoryStore("e".repeat(32));
  await annsPhoto(store, 1000);
  const { api } = broken(() => ({ put_photo: async () => { throw new Problem("server_unreachable"); } }));
  const status = await new Syncer({ store, api }).now();
  assert.equal(status.state, "offline");
  assert.match(store.last_sync_at, /^\d{4}-\d\d-\d\dT/);
  const silent = new MemoryStore("e".repeat(32));
  await new Syncer({ store: silent, api: fails(new Problem("server_unreachable")) }).now();
  assert.equal(silent.last_sync_at, undefined);
});

test("a key that the restored server had forgotten is told again, and what it refused meanwhile goes once more", async () => {
  const store = new MemoryStore("e".repeat(32));
  const { id } = await annKeeps(store);
  let known = false;
  const refusal = { code: "key_unknown", sentence: "The shop does not know the key.", fields: {} };
  const { server, api } = broken((model) => ({ sync: async (request) => {
    if (known || !request.entries.length) return model.sync(request);
    const answers = [{ id, verdict: "refused", problem: refusal }];
    return { ...(await model.sync({ ...request, entries: [] })), answers };
  } }));
  const status = await new Syncer({ store, api, told: async () => (known = true) }).now();
  assert.deepEqual([status.refused, status.unsent, [...server.entries.keys()]], [0, 0, [id]]);
});

test("what the server lost in silence comes back at the next start of the app", async () => {
  const store = new MemoryStore("e".repeat(32));
  const { server, api } = broken(() => ({}));
  server.templates.set("c".repeat(64), "{}");
  server.addCard({ card: CARD, revision: "c".repeat(64) });
  const { id } = await annKeeps(store);
  await new Syncer({ store, api }).now();
  server.loseEntry(0);
  const status = await new Syncer({ store, api }).now();
  assert.deepEqual([[...server.entries.keys()], status.problem], [[id], null]);
});

test("a photo goes on from where the server is, after a link that broke and an offset that was wrong", async () => {
  const store = new MemoryStore("e".repeat(32));
  const photo = await annsPhoto(store, 600000);
  const { server, api } = broken((model) => ({ photos_lacking: async (asked) =>
    ({ lack: asked.map((sha256) => ({ sha256, received: 0 })) }), put_photo: (...given) => model.put_photo(...given) }));
  await server.put_photo(photo.sha256, 0, 600000, photo.buffer.slice(0, 100000));
  const told = [];
  const problems = await send_photos(store, api, { tell: (progress) => told.push(progress) });
  assert.deepEqual(problems, []);
  assert.deepEqual(server.photos.get(photo.sha256).bytes, [...new Uint8Array(photo.buffer)]);
  assert.equal(store.photos.get(photo.sha256).state, "sent");
  assert.deepEqual(told.at(-1), { done: 600000, total: 600000 });
});

test("an entry goes before its photo, and no chunk is larger than 256 kB", async () => {
  const store = new MemoryStore("e".repeat(32));
  await annsPhoto(store, 600000);
  const order = [];
  const { api } = broken((server) => ({ sync: (request) => { order.push("entries"); return server.sync(request); },
    put_photo: (...given) => { order.push(given[3].byteLength); return server.put_photo(...given); } }));
  await new Syncer({ store, api }).now();
  assert.deepEqual(order, ["entries", 256000, 256000, 88000]);
});

test("a photo that changed on the phone is never sent, and the others are", async () => {
  const store = new MemoryStore("e".repeat(32));
  const [bad, good] = [await annsPhoto(store, 1000), await annsPhoto(store, 2000)];
  store.photo_bytes = async (sha256) => {
    if (sha256 === bad.sha256) throw new Problem("photo_damaged", { sha256: "x" });
    return store.photos.get(sha256).buffer;
  };
  const { server, api } = broken(() => ({}));
  const status = await new Syncer({ store, api }).now();
  assert.deepEqual([[...server.photos.keys()], status.problem.code, status.photos_unsent], [[good.sha256], "photo_damaged", 1]);
});

test("a template that cannot be had is named, and the photos go all the same", async () => {
  const store = new MemoryStore("e".repeat(32));
  await annsPhoto(store, 1000);
  const { server, api } = broken(() => ({}));
  server.addCard({ card: CARD, revision: "c".repeat(64) });
  const status = await new Syncer({ store, api }).now();
  assert.deepEqual([status.state, status.problem.status, status.photos_unsent], ["idle", 404, 0]);
});

test("an entry made while sending is sent in the same go", async () => {
  const store = new MemoryStore("e".repeat(32));
  await annKeeps(store);
  let second = null;
  const { server, api } = broken((model) => ({ sync: async (request) => {
    const answer = await model.sync(request);
    second ??= await annKeeps(store, { note: "made meanwhile" });
    return answer;
  } }));
  await new Syncer({ store, api }).now();
  assert.ok(server.entries.has(second.id));
});

test("an answer that another tab has overtaken is not applied", async () => {
  const store = new MemoryStore("e".repeat(32));
  await annKeeps(store);
  let first = true;
  const { server, api } = broken((model) => ({ sync: async (request) => {
    const answer = await model.sync(request);
    if (first) {
      first = false;
      await new Syncer({ store, api: broken(() => model).api }).now();
      model.restore({ log: [], entries: new Map(), photos: new Map() }, "epoch-2");
      await store.apply_change({ asked_epoch: "epoch-1", reopen: true, cards: [], entries: [], marks: [], compare: [],
        cursor: { epoch: "epoch-2", after: 0 } });
    }
    return answer;
  } }));
  const status = await new Syncer({ store, api }).now();
  assert.deepEqual([status.unsent, server.entries.size], [0, 1], "the restored server has the entry again");
});
