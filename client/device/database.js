/*
 * The one connection to IndexedDB, and the only place that opens it.
 *
 * Usage:
 *   const card = await in_transaction(["cards"], "readonly", (tx) => tx.objectStore("cards").get(id));
 *   await in_transaction(["entries", "device"], "readwrite", async (tx) => { ... });   // resolved = committed, strict
 *   announce_change(cards);      tells this tab and the others
 *   store_events                 EventTarget: "changed" {cards}, "blocked", "lost" {problem}, "recovered"
 *
 * `work` may run again after a lost connection, so it must read what it changes inside the transaction, and may await
 * nothing but the transaction's own requests. Throws Problem storage_lost | storage_full | storage_blocked |
 * storage_newer | storage_none; a Problem thrown by `work` aborts the transaction and passes through.
 */
import { openDB } from "../vendor/idb.js";
import { Problem } from "../rules/problems.js";

const NAME = "witnessmark";
const VERSION = 2;
const OPEN_MS = 5000;
const WORK_MS = 5000;
// WebKit drops the database's process in background. Asking the same connection again never helps; a new one does.
const PAUSES_MS = [0, 60, 300];

export const store_events = new EventTarget();

let connection = null;
let lost = false;

/** Run `work(transaction)` over `stores`; its result, once the transaction has committed to disk. */
export async function in_transaction(stores, mode, work) {
  let last = null;
  for (const pause of PAUSES_MS) {
    if (pause) await sleep(pause);
    try {
      const result = await attempt(stores, mode, work);
      tellRecovered();
      return result;
    } catch (error) {
      last = readFailure(error);
      await forgetConnection();
    }
  }
  const problem = new Problem("storage_lost");
  problem.cause = last;
  tell("lost", { problem });
  lost = true;
  throw problem;
}

/** Tell every tab that what these cards show has changed. */
export function announce_change(cards) {
  if (!cards.length) return;
  tell("changed", { cards });
  otherTabs?.postMessage({ cards });
}

/** Close the connection, so that another window can change the database. */
export async function forgetConnection() {
  const old = connection;
  connection = null;
  if (!old) return;
  await old.then((database) => database.close(), () => {});
}

async function attempt(stores, mode, work) {
  connection ??= open();
  const database = await connection;
  const tx = database.transaction(stores, mode, { durability: "strict" });
  // The same failure also comes out of the request that failed; unhandled here it would be reported twice.
  tx.done.catch(() => {});
  try {
    return await within(WORK_MS, async () => {
      const result = await work(tx);
      await tx.done;
      return result;
    });
  } catch (error) {
    throw endTransaction(tx, error);
  }
}

/** Abort what may still run. The transaction's own error is nearer to the cause than that of a cancelled request. */
function endTransaction(tx, error) {
  try {
    tx.abort();
  } catch (finished) {
    if (finished.name !== "InvalidStateError") throw finished;
  }
  return tx.error?.name === "QuotaExceededError" ? tx.error : error;
}

/** What may be tried again is returned; everything else is thrown, as a Problem where a person can do something. */
function readFailure(error) {
  if (error instanceof Problem) throw error;
  if (error.name === "QuotaExceededError") throw new Problem("storage_full");
  if (error.name === "VersionError") throw new Problem("storage_newer");
  if (error instanceof DOMException) return error;
  throw error;
}

function open() {
  if (!globalThis.indexedDB) throw new Problem("storage_none");
  let blocked = false;
  const opening = openDB(NAME, VERSION, {
    upgrade,
    blocked() {
      blocked = true;
      tell("blocked");
    },
    blocking() {
      forgetConnection();
      tell("blocked");
    },
    terminated() {
      connection = null;
    },
  });
  return within(OPEN_MS, () => opening).catch((error) => {
    // A database that opens after the time-out would hold the lock of a page that no longer knows it.
    opening.then((database) => database.close(), () => {});
    connection = null;
    if (blocked) throw new Problem("storage_blocked");
    if (error.name === "SecurityError") throw new Problem("storage_none");
    throw error;
  });
}

/** Changes here are additive for ever: the text of an entry is never rewritten. */
function upgrade(database, from) {
  if (from < 1) {
    const entries = database.createObjectStore("entries", { keyPath: "id" });
    entries.createIndex("card", "card");
    entries.createIndex("state", ["state", "arrived"]);
    database.createObjectStore("cards", { keyPath: "card" });
    database.createObjectStore("revisions", { keyPath: "revision" });
    database.createObjectStore("photos");
    const facts = database.createObjectStore("photo_state", { keyPath: "sha256" });
    facts.createIndex("state", ["state", "arrived"]);
    database.createObjectStore("drafts", { keyPath: ["card", "item"] });
    database.createObjectStore("device");
  }
  if (from < 2) {
    database.createObjectStore("keys");
    database.createObjectStore("public_keys", { keyPath: "kid" });
  }
}

async function within(milliseconds, work) {
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => reject(new DOMException("the database does not answer", "TimeoutError")), milliseconds);
  });
  try {
    return await Promise.race([work(), late]);
  } finally {
    clearTimeout(timer);
  }
}

function tellRecovered() {
  if (!lost) return;
  lost = false;
  tell("recovered");
}

function tell(name, detail) {
  store_events.dispatchEvent(new CustomEvent(name, { detail }));
}

function sleep(milliseconds) {
  return new Promise((resolve) => setTimeout(resolve, milliseconds));
}

const otherTabs = globalThis.document && globalThis.BroadcastChannel ? new BroadcastChannel("witnessmark-store") : null;
otherTabs?.addEventListener("message", (event) => tell("changed", { cards: event.data.cards }));
