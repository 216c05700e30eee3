/*
 * Photo bytes, apart from the entries: `photos` holds an ArrayBuffer under its SHA-256 (WebKit refuses Blobs),
 * `photo_state` {sha256, bytes, type, state: "draft"|"unsent"|"sent", received, problem, arrived}.
 * A photo is hashed again whenever it is read: the wrong picture must never be shown, sent or signed.
 * The exports are described in README.md beside this file.
 */
import { Problem } from "../rules/problems.js";
import { in_transaction } from "./database.js";
import { next_arrival } from "./entries.js";
import { sha256_hex } from "./hash.js";

/** Keep a photo's bytes and compare what was kept. Throws Problem storage_lost | storage_full. */
export async function keep_photo({ sha256, type, buffer }) {
  await in_transaction(["photos", "photo_state", "device"], "readwrite", async (tx) => {
    const held = await tx.objectStore("photo_state").get(sha256);
    tx.objectStore("photos").put(buffer, sha256);
    if (held) return;
    const arrived = await next_arrival(tx);
    tx.objectStore("photo_state").put(
      { sha256, bytes: buffer.byteLength, type, state: "draft", received: 0, problem: null, arrived });
  });
  if (!(await photo_bytes(sha256))) throw new Problem("storage_lost");
}

/** The bytes of a photo, or undefined when this phone does not hold them. Throws Problem photo_damaged. */
export async function photo_bytes(sha256) {
  const buffer = await in_transaction(["photos"], "readonly", (tx) => tx.objectStore("photos").get(sha256));
  if (buffer && (await sha256_hex(buffer)) !== sha256) {
    throw new Problem("photo_damaged", { sha256: sha256.slice(0, 8) });
  }
  return buffer;
}

export function photo_facts(sha256) {
  return in_transaction(["photo_state"], "readonly", (tx) => tx.objectStore("photo_state").get(sha256));
}

/** Delete a photo that no entry names yet; any other stays. */
export async function drop_photo(sha256) {
  await in_transaction(["photos", "photo_state"], "readwrite", async (tx) => {
    const held = await tx.objectStore("photo_state").get(sha256);
    if (held?.state !== "draft") return;
    tx.objectStore("photos").delete(sha256);
    tx.objectStore("photo_state").delete(sha256);
  });
}

/** The photos that entries name and the server has not confirmed, oldest first. */
export function unsent_photos() {
  const range = IDBKeyRange.bound(["unsent", 0], ["unsent", Number.MAX_SAFE_INTEGER]);
  return in_transaction(["photo_state"], "readonly",
    (tx) => tx.objectStore("photo_state").index("state").getAll(range));
}

/** Note how far a photo has come: `change` is part of its record. */
export async function mark_photo(sha256, change) {
  await in_transaction(["photo_state"], "readwrite", async (tx) => {
    const held = await tx.objectStore("photo_state").get(sha256);
    if (held) tx.objectStore("photo_state").put({ ...held, ...change });
  });
}
