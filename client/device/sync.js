/*
 * This page's syncer, wired to the phone's memory, the server and the browser.
 *
 * Usage:
 *   import { syncer } from "./device/sync.js";
 *   syncer.addEventListener("status", ({ detail }) => show(detail));      README.md describes the status
 *   syncer.start();                          once
 *   syncer.request();                        sync soon      await syncer.now()      sync and wait
 */
import * as api from "./api.js";
import { store_events } from "./database.js";
import { session } from "./session.js";
import * as store from "./sync_store.js";
import { Syncer } from "./syncer.js";
import { updates } from "./update.js";

export const syncer = new Syncer({ store, api, run_alone: runAlone, hold: (reason) => updates.hold(reason),
  window: globalThis.window, store_events });

/** Two tabs that sync are only wasteful, so a lock that cannot be had is no obstacle for ever; see Syncer. */
function runAlone(work) {
  if (!navigator.locks) return work();
  return navigator.locks.request("witnessmark-sync", { ifAvailable: true }, (lock) => (lock ? work() : "elsewhere"));
}

session.addEventListener("changed", ({ detail }) => {
  if (detail.person) syncer.request();
});
