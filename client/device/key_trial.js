/*
 * Whether this browser can keep a signing key at all, found out before anybody is asked for a code.
 *
 * Usage: await can_keep_keys() -> null | Problem key_not_kept, within 2 seconds
 */
import { openDB } from "../vendor/idb.js";
import { Problem } from "../rules/problems.js";

const NAME = "witnessmark-trial";
const PATIENCE_MS = 1800;
const ECDSA = { name: "ECDSA", namedCurve: "P-256" };
const SIGNING = { name: "ECDSA", hash: "SHA-256" };

/** A key is made, wrapped, kept, read back through a new connection, opened, and signs. Nothing of it stays. */
export async function can_keep_keys() {
  if (!globalThis.crypto?.subtle) return notKept("this address is not a secure one");
  if (!globalThis.indexedDB) return notKept("it keeps nothing");
  let timer;
  const late = new Promise((resolve) => {
    timer = setTimeout(() => resolve(notKept("its storage does not answer")), PATIENCE_MS);
  });
  const found = trial().catch((error) => {
    if (!(error instanceof DOMException)) throw error;
    return notKept(error.name);
  });
  try {
    return await Promise.race([found, late]);
  } finally {
    clearTimeout(timer);
  }
}

async function trial() {
  const { privateKey, publicKey } = await crypto.subtle.generateKey(ECDSA, true, ["sign", "verify"]);
  const outer = await crypto.subtle.generateKey({ name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
  const iv = crypto.getRandomValues(new Uint8Array(12));
  const pkcs8 = await crypto.subtle.exportKey("pkcs8", privateKey);
  const place = crypto.randomUUID();
  const wrapped = await crypto.subtle.encrypt({ name: "AES-GCM", iv }, outer, pkcs8);
  await inTrial((store) => store.put({ outer, iv, wrapped }, place));
  const back = await inTrial((store) => store.get(place));
  await inTrial((store) => store.delete(place));
  if (!(back?.outer instanceof CryptoKey) || !back.wrapped) return notKept("it does not give back what it was given");
  const opened = await crypto.subtle.decrypt({ name: "AES-GCM", iv: back.iv }, back.outer, back.wrapped);
  const signing = await crypto.subtle.importKey("pkcs8", opened, ECDSA, false, ["sign"]);
  const words = new TextEncoder().encode("trial");
  const signature = await crypto.subtle.sign(SIGNING, signing, words);
  return (await crypto.subtle.verify(SIGNING, publicKey, signature, words)) ? null : notKept("its signature does not verify");
}

/** One transaction through a connection of its own. */
async function inTrial(work) {
  const database = await openDB(NAME, 1, { upgrade: (made) => made.createObjectStore("trial") });
  try {
    const tx = database.transaction("trial", "readwrite", { durability: "strict" });
    tx.done.catch(() => {});
    const result = await work(tx.objectStore("trial"));
    await tx.done;
    return result;
  } finally {
    database.close();
  }
}

function notKept(why) {
  return new Problem("key_not_kept", { why });
}
