/*
 * What is typed but not yet recorded, the camera slot, settings and other single facts of this phone.
 * The exports are described in README.md beside this file. All writes are strict: a phone may kill the page at once.
 */
import { in_transaction } from "./database.js";

const STORES = ["drafts", "device"];

/** `person` who typed it; without one, who holds this phone. Nobody sees the half-typed item of another. */
export async function save_draft(card, item, draft, person) {
  await in_transaction(STORES, "readwrite", async (tx) =>
    tx.objectStore("drafts").put(draftRecord(card, item, draft, person ?? (await holder(tx)))));
}

export async function read_draft(card, item) {
  const held = await in_transaction(STORES, "readonly", async (tx) => {
    const [own, old] = draft_keys(card, item, await holder(tx));
    return (await tx.objectStore("drafts").get(own)) ?? tx.objectStore("drafts").get(old);
  });
  return held?.draft ?? null;
}

export async function drop_draft(card, item) {
  await in_transaction(STORES, "readwrite", async (tx) => {
    for (const key of draft_keys(card, item, await holder(tx))) tx.objectStore("drafts").delete(key);
  });
}

export async function drafts() {
  const held = await in_transaction(["drafts"], "readonly", (tx) => tx.objectStore("drafts").getAll());
  return held.map((record) => {
    const [item, person] = [record.item].flat();
    return { ...record, item: item || null, person: person ?? null };
  });
}

/** Where a person's draft is kept, then where drafts were before each person had their own. */
export function draft_keys(card, item, person) {
  return [[card, place(item, person)], [card, place(item, "")]];
}

/** Save the draft and remember where we are, in one commit, because the page may die while the camera is open. */
export async function open_camera_slot(card, item, draft) {
  await in_transaction(STORES, "readwrite", async (tx) => {
    tx.objectStore("drafts").put(draftRecord(card, item, draft, await holder(tx)));
    return tx.objectStore("device").put({ card, item }, "pending_photo");
  });
}

export async function pending_photo() {
  return (await read_fact("pending_photo")) ?? null;
}

export async function close_camera_slot() {
  await forget_fact("pending_photo");
}

export async function read_setting(name, otherwise) {
  return (await read_fact("settings"))?.[name] ?? otherwise;
}

export async function write_setting(name, value) {
  await in_transaction(["device"], "readwrite", async (tx) => {
    const device = tx.objectStore("device");
    device.put({ ...(await device.get("settings")), [name]: value }, "settings");
  });
}

/** One fact of the store `device`: person, server, pending_photo, settings ... */
export function read_fact(name) {
  return in_transaction(["device"], "readonly", (tx) => tx.objectStore("device").get(name));
}

export async function write_facts(facts) {
  await in_transaction(["device"], "readwrite", (tx) =>
    Promise.all(Object.entries(facts).map(([name, value]) => tx.objectStore("device").put(value, name))));
}

export async function forget_fact(name) {
  await in_transaction(["device"], "readwrite", (tx) => tx.objectStore("device").delete(name));
}

function draftRecord(card, item, draft, person) {
  return { card, item: place(item, person), draft, saved_at: new Date().toISOString() };
}

const place = (item, person) => (person ? [item ?? "", person] : item ?? "");

async function holder(tx) {
  return (await tx.objectStore("device").get("person"))?.person ?? "";
}
