/*
 * What the syncer reads from and writes to this phone's memory. Only sync.js and sync_photos.js import it
 * (unsent_facts also serves the unsent line, through store.js).
 *
 *   await sync_facts() -> {person, server, cursor: {epoch, after}, cards: [card ids], log, phone, proofs_owed}
 *   await unsent_batch(most) -> [{id, text}] in order of arrival
 *   await apply_change(change) -> {applied, held: {card: [ids the server is known to have]}}    see sync_plan.js
 *   await sent_ids(card) -> [ids]
 *   await lacking_templates() -> [revision]      await lacking_codes() -> [revision]
 *   await offer_again(code)                       what was refused with that code counts as unsent again
 *   await unsent_facts() -> {unsent, oldest_unsent_at, refused, photos_unsent, photos_bytes_left}
 */
import { announce_change, in_transaction } from "./database.js";
import { entry_record, next_arrival } from "./entries.js";
import { unsent_photos } from "./photo_store.js";

export { keep_template } from "./entries.js";
export { keep_log, keep_phone_facts, note_sync, public_key, settle_proof } from "./phone_facts.js";
export { mark_photo, photo_bytes, unsent_photos } from "./photo_store.js";

export function sync_facts() {
  return in_transaction(["device", "cards"], "readonly", async (tx) => {
    const device = tx.objectStore("device");
    const person = (await device.get("person")) ?? null;
    const cursor = (await device.get("cursor")) ?? { epoch: null, after: 0 };
    const [server, log, phone, owed] = await Promise.all(["server", "log", "phone_facts", "proofs_owed"]
      .map((name) => device.get(name)));
    return { person, cursor, cards: await tx.objectStore("cards").getAllKeys(), server: server?.server ?? null,
      log: log ?? null, phone: phone ?? null, proofs_owed: owed ?? {} };
  });
}

export async function unsent_batch(most) {
  const found = await in_transaction(["entries"], "readonly", (tx) =>
    tx.objectStore("entries").index("state").getAll(stateRange("unsent"), most));
  return found.map(({ id, text }) => ({ id, text }));
}

/**
 * Apply one change of sync_plan.js in one strict transaction: the entries, their states and the cursor move together
 * or not at all. A change that was planned for another epoch than the held one is not applied.
 */
export async function apply_change(change) {
  const outcome = await in_transaction(["entries", "cards", "device", "photo_state"], "readwrite", async (tx) => {
    const device = tx.objectStore("device");
    const cursor = (await device.get("cursor")) ?? { epoch: null, after: 0 };
    if (cursor.epoch !== change.asked_epoch) return { applied: false, held: {}, cards: [] };
    if (change.reopen) await reopenAll(tx);
    for (const card of change.cards) tx.objectStore("cards").put(card);
    const touched = new Set(change.cards.map(({ card }) => card));
    for (const entry of change.entries) {
      if (await takeEntry(tx, entry)) touched.add(entry.payload.card);
    }
    for (const mark of change.marks) {
      const card = await markEntry(tx.objectStore("entries"), mark);
      if (card) touched.add(card);
    }
    // What an earlier state of the server claimed need not be in the log of this one.
    const owed = change.reopen ? {} : (await device.get("proofs_owed")) ?? {};
    if (change.proofs) device.put({ ...owed, ...change.proofs }, "proofs_owed");
    // Two tabs may answer out of order; the cursor of one epoch never goes back.
    if (change.cursor && (change.cursor.epoch !== cursor.epoch || change.cursor.after > cursor.after)) {
      device.put(change.cursor, "cursor");
    }
    return { applied: true, held: await heldIds(tx.objectStore("entries"), change.compare), cards: [...touched] };
  });
  announce_change(outcome.cards);
  return outcome;
}

async function takeEntry(tx, entry) {
  const entries = tx.objectStore("entries");
  const held = await entries.get(entry.id);
  if (held?.state === "sent") return false;
  if (held) entries.put({ ...held, state: "sent", problem: null });
  else entries.put(entry_record(entry, "sent", await next_arrival(tx)));
  return true;
}

async function markEntry(entries, { id, state, problem }) {
  const held = await entries.get(id);
  // Known to be on the server by news of the same answer: a late refusal of a second copy says nothing.
  if (!held || held.state === state) return null;
  entries.put({ ...held, state, problem });
  return held.card;
}

/** The server is another one than yesterday's: everything we hold is offered again, photos too. */
async function reopenAll(tx) {
  for (const name of ["entries", "photo_state"]) {
    const store = tx.objectStore(name);
    for (const held of await store.getAll()) {
      if (held.state === "sent" || held.state === "refused") store.put({ ...held, state: "unsent", problem: null });
    }
  }
}

async function heldIds(entries, compare) {
  const held = {};
  for (const card of compare) {
    const all = await entries.index("card").getAll(card);
    held[card] = all.filter(({ state }) => state === "sent").map(({ id }) => id);
  }
  return held;
}

/** The ids of a card that the server is known to have, to ask for every difference. */
export async function sent_ids(card) {
  const held = await in_transaction(["entries"], "readonly", (tx) => heldIds(tx.objectStore("entries"), [card]));
  return held[card];
}

export async function offer_again(code) {
  const range = stateRange("refused");
  await in_transaction(["entries"], "readwrite", async (tx) => {
    const entries = tx.objectStore("entries");
    for (const held of await entries.index("state").getAll(range)) {
      if (held.problem?.code === code) entries.put({ ...held, state: "unsent", problem: null });
    }
  });
}

export function lacking_templates() {
  return lacking("revision");
}

export function lacking_codes() {
  return lacking("code");
}

function lacking(member) {
  return in_transaction(["cards", "revisions"], "readonly", async (tx) => {
    const held = new Set(await tx.objectStore("revisions").getAllKeys());
    const named = (await tx.objectStore("cards").getAll()).map((card) => card[member]).filter(Boolean);
    return [...new Set(named)].filter((revision) => !held.has(revision));
  });
}

export async function unsent_facts() {
  const entries = await in_transaction(["entries"], "readonly", async (tx) => {
    const index = tx.objectStore("entries").index("state");
    const oldest = await index.get(stateRange("unsent"));
    return { unsent: await index.count(stateRange("unsent")), oldest_unsent_at: oldest?.made_at ?? null,
      refused: await index.count(stateRange("refused")) };
  });
  const photos = await unsent_photos();
  const left = photos.reduce((sum, { bytes, received }) => sum + bytes - received, 0);
  return { ...entries, photos_unsent: photos.length, photos_bytes_left: left };
}

function stateRange(state) {
  return IDBKeyRange.bound([state, 0], [state, Number.MAX_SAFE_INTEGER]);
}
