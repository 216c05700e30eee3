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
import { enrol_again, keys_events, settle_keys, unlocked } from "./keys.js";
import { session } from "./session.js";
import * as store from "./sync_store.js";
import { Syncer } from "./syncer.js";
import { updates } from "./update.js";

export const syncer = new Syncer({ store, api, run_alone: runAlone, hold: (reason) => updates.hold(reason),
  follow: () => session.follow(), renew: () => session.renew(), told, window: globalThis.window, store_events });

/** Two tabs that sync are only wasteful, so a lock that cannot be had is no obstacle for ever; see Syncer. */
function runAlone(work) {
  if (!navigator.locks) return work();
  return navigator.locks.request("witnessmark-sync", { ifAvailable: true }, (lock) => (lock ? work() : "elsewhere"));
}

/** Keys that the shop has ended are erased here; a key that it has forgotten is told to it again. */
async function told({ people, ended, keys }) {
  await settle_keys(Object.fromEntries(people.map(({ person, kid }) => [person, kid])), ended.map(({ kid }) => kid));
  await session.notice(people);
  if (!session.person) return false;
  return Boolean(await enrol_again(session.person.person, keys.map(({ kid }) => kid)));
}

session.addEventListener("changed", ({ detail }) => {
  if (detail.person) syncer.request();
});
// What waited for a signing code, because the server knew another person here, can go now.
keys_events.addEventListener("changed", ({ detail }) => {
  if (syncer.status.state === "signed_out" && detail.person && unlocked(detail.person)) syncer.request();
});
