/*
 * This phone's memory: the one import for screens. Every export is described in README.md beside this file.
 *
 * Usage:
 *   import { keep_entry, cards, store_events } from "./device/store.js";
 *   const { id } = await keep_entry((chain) => make_entry({ ...facts, ...chain }));   // resolved = on disk, read back
 */
import { in_transaction } from "./database.js";

export { store_events } from "./database.js";
export { card, cards, device_id, entries_of, keep_card, keep_entry, last_item, last_items, refused_entries, template }
  from "./entries.js";
export { close_camera_slot, drafts, drop_draft, open_camera_slot, pending_photo, read_draft, read_setting, save_draft,
  write_setting } from "./drafts.js";
export { photo_bytes, photo_facts } from "./photo_store.js";
export { accept_log, answer_key, held_log, keys_elsewhere, log_alarm, phone_facts } from "./phone_facts.js";
export { unsent_facts } from "./sync_store.js";

const GIBIBYTE = 2 ** 30;

let asked = null;

/**
 * What this phone promises: {persisted, quota, usage, free, installed}; sizes in bytes, null where the browser
 * does not tell. Asks the browser once per page to keep the storage.
 */
export async function storage_facts() {
  const { storage } = navigator;
  const estimate = (await storage?.estimate?.()) ?? {};
  const quota = estimate.quota ?? null;
  const usage = estimate.usage ?? null;
  asked ??= storage?.persist?.() ?? Promise.resolve(false);
  const persisted = (await asked) || ((await storage?.persisted?.()) ?? false);
  const installed = matchMedia("(display-mode: standalone)").matches || navigator.standalone === true;
  return { persisted, quota, usage, free: freeOf(quota, usage), installed };
}

/** Chromium promises the usage plus whole GiB whatever the disk holds, so that figure says nothing: null. */
function freeOf(quota, usage) {
  if (quota === null || usage === null) return null;
  return (quota - usage) % GIBIBYTE === 0 ? null : quota - usage;
}


/** One JSON text of everything the server has not confirmed: entries (unsent and refused) and photos in base64. */
export async function export_unsent() {
  const held = await in_transaction(["entries", "photo_state", "photos", "device"], "readonly", async (tx) => {
    const entries = (await tx.objectStore("entries").getAll()).filter(({ state }) => state !== "sent");
    const facts = (await tx.objectStore("photo_state").getAll()).filter(({ state }) => state === "unsent");
    const buffers = [];
    for (const { sha256 } of facts) buffers.push(await tx.objectStore("photos").get(sha256));
    const server = await tx.objectStore("device").get("server");
    return { entries, facts, buffers, server, device: await tx.objectStore("device").get("device") };
  });
  const photos = held.facts.map(({ sha256, bytes, type }, at) =>
    ({ sha256, bytes, type, base64: base64(held.buffers[at]) }));
  const entries = held.entries.sort((a, b) => a.arrived - b.arrived);
  return JSON.stringify({
    format: "witnessmark-unsent-1",
    server: held.server?.server ?? null,
    device: held.device ?? null,
    entries: entries.map(({ text, state, problem }) => ({ text, state, problem })),
    photos,
  });
}

function base64(buffer) {
  const bytes = new Uint8Array(buffer);
  const parts = [];
  for (let at = 0; at < bytes.length; at += 0x8000) parts.push(String.fromCharCode(...bytes.subarray(at, at + 0x8000)));
  return btoa(parts.join(""));
}
