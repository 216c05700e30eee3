/*
 * The app's own version: the service worker is registered, a new version is announced, the person decides.
 *
 * Usage:
 *   await updates.start();
 *   updates.addEventListener("ready", show);       a new version waits; updates.waiting === true
 *   updates.addEventListener("taken", show);       another window took a new version: reload this one when convenient
 *   const free = updates.hold("an item is open");  while a draft is open or something is sent; then free()
 *   await updates.apply();                         on the person's tap: reloads once. Throws Problem update_waits
 *   await updates.remove();                        the way out: no service worker, no cached shell; entries stay
 */
import { Problem } from "../rules/problems.js";
import { worker_url } from "./trusted.js";

const LOOK_AGAIN_MS = 3600000;
const HANDOVER_MS = 10000;
const BUSY_LOCK = "witnessmark-busy";
const CACHE_PREFIX = "witnessmark-shell-";

class Updates extends EventTarget {
  #registration = null;
  #reasons = new Map();
  #applying = false;

  get waiting() {
    return Boolean(this.#registration?.waiting);
  }

  async start() {
    const workers = navigator.serviceWorker;
    if (!workers || this.#registration) return;
    let controlled = Boolean(workers.controller);
    workers.addEventListener("controllerchange", () => {
      // The very first worker takes over a page that is already its own version.
      if (!this.#applying && controlled) this.dispatchEvent(new Event("taken"));
      controlled = true;
    });
    const options = { scope: "/", updateViaCache: "none" };
    this.#registration = await workers.register(worker_url("/service_worker.js"), options);
    this.#registration.addEventListener("updatefound", () => this.#watch(this.#registration.installing));
    if (this.waiting) this.#announce();
    if (this.#registration.installing) this.#watch(this.#registration.installing);
    document.addEventListener("visibilitychange", () => this.#look());
    setInterval(() => this.#look(), LOOK_AGAIN_MS);
  }

  /** Keep updates away while `reason` holds, in this tab and the others; returns free(). */
  hold(reason) {
    const key = Symbol(reason);
    let release = () => {};
    this.#reasons.set(key, reason);
    if (globalThis.navigator?.locks) {
      const released = new Promise((resolve) => {
        release = resolve;
      });
      navigator.locks.request(BUSY_LOCK, { mode: "shared" }, () => released);
    }
    return () => {
      this.#reasons.delete(key);
      release();
    };
  }

  async apply() {
    if (this.#reasons.size) throw new Problem("update_waits", { reason: [...this.#reasons.values()][0] });
    if (!(await nobodyBusy())) throw new Problem("update_waits", { reason: "another window has an item open" });
    const waiting = this.#registration?.waiting;
    if (!waiting || this.#applying) return;
    this.#applying = true;
    await handOver(waiting);
    location.reload();
  }

  async remove() {
    await this.#registration?.unregister();
    const names = await caches.keys();
    await Promise.all(names.filter((name) => name.startsWith(CACHE_PREFIX)).map((name) => caches.delete(name)));
    location.reload();
  }

  #watch(worker) {
    worker?.addEventListener("statechange", () => {
      if (worker.state === "installed" && this.#registration.active) this.#announce();
    });
  }

  #announce() {
    this.dispatchEvent(new Event("ready"));
  }

  #look() {
    if (document.visibilityState !== "visible") return;
    // Without the server there is nothing to look at; the next look comes by itself.
    this.#registration.update().catch(() => {});
  }
}

export const updates = new Updates();

/** A lock that cannot be had tells that some tab holds it; taken and given back at once. */
async function nobodyBusy() {
  if (!navigator.locks) return true;
  return navigator.locks.request(BUSY_LOCK, { ifAvailable: true }, (lock) => Boolean(lock));
}

function handOver(waiting) {
  return new Promise((resolve) => {
    const timer = setTimeout(resolve, HANDOVER_MS);
    navigator.serviceWorker.addEventListener("controllerchange", () => {
      clearTimeout(timer);
      resolve();
    }, { once: true });
    waiting.postMessage("SKIP_WAITING");
  });
}
