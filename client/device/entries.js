/*
 * Entries, cards and templates on this phone. The exports are described in README.md beside this file.
 *
 * An entry is made against the head of this phone's chain: payload, signature and id are computed outside the
 * transaction, and one strict transaction then keeps the entry only if the head has not moved meanwhile. Another tab may
 * win; the entry is then made and signed again.
 */
import { canonical_text, read_canonical } from "../rules/canonical.js";
import { content_id, read_entry } from "../rules/entry.js";
import { Problem } from "../rules/problems.js";
import { announce_change, in_transaction } from "./database.js";
import { draft_keys } from "./drafts.js";
import { check_lease } from "./phone_facts.js";
import { count_use, sign, signer } from "./unlocked.js";

const MOST_TRIES = 20;
const ITEMS_REMEMBERED = 60;
const EVERY_NUMBER = Number.MAX_SAFE_INTEGER;

let knownChain = null;
let lastKept = Promise.resolve();

/** Make, keep and read back one entry; see README.md. Returns {id, text, payload}. */
export function keep_entry(make, { drop_draft: dropDraft = true } = {}) {
  // One at a time in this tab, whatever became of the one before; other tabs are met by compare-and-set.
  const kept = lastKept.then(() => makeAndKeep(make, dropDraft));
  lastKept = kept.catch(() => {});
  return kept;
}

async function makeAndKeep(make, dropDraft) {
  for (let tries = 0; tries < MOST_TRIES; tries += 1) {
    knownChain ??= await readChain();
    const { device, sequence, previous } = knownChain;
    const { person, unlocked } = signer();
    const checkpoint = await check_lease();
    const payload = await make({ device, sequence: sequence + 1, previous, checkpoint, unlocked });
    if (payload.author.person !== person) throw new Problem("key_locked");
    const entry = await read_entry(await sign(person, canonical_text(payload)));
    const kept = await in_transaction(["entries", "device", "drafts", "photo_state"], "readwrite",
      (tx) => keepAgainstHead(tx, entry, dropDraft));
    knownChain = kept ? { device, sequence: payload.sequence, previous: entry.id } : null;
    if (!kept) continue;
    count_use(person);
    await compareWithKept(entry);
    announce_change([payload.card]);
    return entry;
  }
  throw new Problem("storage_lost");
}

async function keepAgainstHead(tx, entry, dropDraft) {
  const { payload } = entry;
  const device = tx.objectStore("device");
  // A retry after a lost connection may find that the first attempt did commit.
  if (await tx.objectStore("entries").getKey(entry.id)) return true;
  const head = (await device.get("head")) ?? { sequence: 0, previous: null };
  if (head.sequence !== payload.sequence - 1 || head.previous !== payload.previous) return false;
  const arrived = await next_arrival(tx);
  tx.objectStore("entries").put(entry_record(entry, "unsent", arrived));
  device.put({ sequence: payload.sequence, previous: entry.id }, "head");
  await rememberItem(device, entry);
  await releasePhotos(tx.objectStore("photo_state"), payload.body.photos ?? []);
  const dropped = dropDraft ? draft_keys(payload.card, payload.item, payload.author.person) : [];
  for (const key of dropped) tx.objectStore("drafts").delete(key);
  return true;
}

/** The record of an entry as the store `entries` holds it. */
export function entry_record({ id, text, payload }, state, arrived) {
  return { id, text, card: payload.card, item: payload.item, kind: payload.kind, state, problem: null,
    made_at: payload.claimed_at, arrived };
}

/** The next number of arrival on this phone: the only order in which things are sent. No clock. */
export async function next_arrival(tx) {
  const device = tx.objectStore("device");
  const arrived = ((await device.get("arrived")) ?? 0) + 1;
  device.put(arrived, "arrived");
  return arrived;
}

async function rememberItem(device, { id, payload }) {
  if (payload.item === null) return;
  const before = (await device.get("last_items")) ?? [];
  const others = before.filter(({ card, item }) => card !== payload.card || item !== payload.item);
  const newest = { card: payload.card, item: payload.item, id, at: payload.claimed_at };
  device.put([newest, ...others].slice(0, ITEMS_REMEMBERED), "last_items");
}

async function releasePhotos(facts, photos) {
  for (const { sha256 } of photos) {
    const held = await facts.get(sha256);
    if (held?.state === "draft") facts.put({ ...held, state: "unsent" });
  }
}

async function compareWithKept(entry) {
  const back = await in_transaction(["entries"], "readonly", (tx) => tx.objectStore("entries").get(entry.id));
  if (back?.text !== entry.text) throw new Problem("storage_lost");
}

async function readChain() {
  const device = await device_id();
  const head = await in_transaction(["device"], "readonly", (tx) => tx.objectStore("device").get("head"));
  return { device, ...(head ?? { sequence: 0, previous: null }) };
}

/** This phone's id, 32 hex digits: it stands in every entry. */
export async function device_id() {
  return (await identity()).device;
}

/** This phone's secret, whose hash begins with its id: shown to the server at sign-in, and to nobody else. */
export async function device_key() {
  return (await identity()).key;
}

/** {device, key}, made at the first asking. */
async function identity() {
  const random = crypto.getRandomValues(new Uint8Array(32));
  const key = Array.from(random, (byte) => byte.toString(16).padStart(2, "0")).join("");
  const device = (await content_id(key)).slice(0, 32);
  return in_transaction(["device"], "readwrite", async (tx) => {
    const facts = tx.objectStore("device");
    const held = { device: await facts.get("device"), key: await facts.get("device_key") };
    if (held.key) return held;
    facts.put(device, "device");
    facts.put(key, "device_key");
    return { device, key };
  });
}

/** Forget the cached head: another database state may follow. */
export function forget_chain() {
  knownChain = null;
}

export function cards() {
  return in_transaction(["cards"], "readonly", (tx) => tx.objectStore("cards").getAll());
}

export function card(id) {
  return in_transaction(["cards"], "readonly", (tx) => tx.objectStore("cards").get(id));
}

/** Keep a card that this phone has just issued or fetched. */
export async function keep_card(fresh) {
  await in_transaction(["cards"], "readwrite", (tx) => tx.objectStore("cards").put(fresh));
  announce_change([fresh.card]);
}

export async function entries_of(id) {
  const found = await in_transaction(["entries"], "readonly",
    (tx) => tx.objectStore("entries").index("card").getAll(id));
  return found.sort((a, b) => a.arrived - b.arrived);
}

export function refused_entries() {
  const range = IDBKeyRange.bound(["refused", 0], ["refused", EVERY_NUMBER]);
  return in_transaction(["entries"], "readonly", (tx) => tx.objectStore("entries").index("state").getAll(range));
}

/** A template or a local code by its hash, parsed; undefined while it is not here. */
export async function template(revision) {
  if (!revision) return undefined;
  const held = await in_transaction(["revisions"], "readonly", (tx) => tx.objectStore("revisions").get(revision));
  return held && read_canonical(held.text);
}

/** Keep the canonical text of a template or a local code under its hash. Throws Problem server_answer_wrong. */
export async function keep_template(revision, text) {
  if ((await content_id(text)) !== revision) {
    throw new Problem("server_answer_wrong", { detail: `revision ${revision.slice(0, 8)} has another hash` });
  }
  await in_transaction(["revisions"], "readwrite", (tx) => tx.objectStore("revisions").put({ revision, text }));
  announce_change(["*"]);
}

export async function last_items(id) {
  const all = await in_transaction(["device"], "readonly", (tx) => tx.objectStore("device").get("last_items"));
  return (all ?? []).filter((done) => done.card === id).slice(0, 3);
}

export async function last_item() {
  const all = await in_transaction(["device"], "readonly", (tx) => tx.objectStore("device").get("last_items"));
  return all?.[0] ?? null;
}
