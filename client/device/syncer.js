/*
 * The syncer: when to sync, what came of it. Without timers and events of its own until start() gives it some.
 *
 * Usage: const syncer = new Syncer({ store, api, ... }); syncer.start();      README.md describes the status
 *   window, store_events       what start() listens to
 *   run_alone(work) -> the work's result, or "elsewhere" when another tab is syncing; thrift only
 *   hold(reason) -> free()      keeps an update of the app away while something is sent
 *   follow(), renew() -> boolean     of session.js: the server's session is that of who holds the phone
 *   told(phone facts)           see sync_checks.js
 */
import { Problem } from "../rules/problems.js";
import { ServerProblem } from "./api.js";
import { exchange_all } from "./sync_exchange.js";
import { CAREFUL, FAST, send_photos } from "./sync_photos.js";
import { next_pause } from "./sync_plan.js";

const IDLE_PAUSE_MS = 60000;
const ELSEWHERE_PAUSE_MS = 5000;
const MOST_ELSEWHERE = 3;

export class Syncer extends EventTarget {
  #parts;
  #running = null;
  #again = false;
  #checkedAll = false;
  #failures = 0;
  #elsewhere = 0;
  #timer = null;
  #window = null;
  #refusedPhotos = new Set();

  constructor({ store, api, run_alone = (work) => work(), hold = () => () => {}, random = Math.random,
    follow = async () => {}, renew = async () => false, told = async () => false, window, store_events }) {
    super();
    this.#parts = { store, api, run_alone, hold, random, follow, renew, told, window, store_events };
    this.status = { state: "idle", unsent: 0, oldest_unsent_at: null, refused: 0, photos_unsent: 0,
      photos_bytes_left: 0, last_sync_at: null, progress: null, problem: null };
  }

  /** Sync at start, on `online`, on becoming visible, after each entry, and by a timer while the page is visible. */
  start() {
    if (this.#window) return;
    const { window, store_events } = this.#parts;
    this.#window = window;
    window.addEventListener("online", () => this.request());
    window.document.addEventListener("visibilitychange", () => {
      if (window.document.visibilityState === "visible") this.request();
      else this.#clearTimer();
    });
    store_events.addEventListener("changed", () => this.#noticeChange());
    this.request();
  }

  /** Sync soon: now, or once more after the sync that is running. */
  request() {
    if (this.#running) this.#again = true;
    else this.now();
  }

  /** Sync now, or wait for the sync that is running; the status after it. Never throws: the status tells. */
  async now() {
    this.#running ??= this.#runAll().finally(() => {
      this.#running = null;
    });
    await this.#running;
    return this.status;
  }

  async #runAll() {
    do {
      this.#again = false;
      this.#clearTimer();
      await this.#runOnce();
    } while (this.#again && this.status.state === "idle" && this.status.unsent + this.status.photos_unsent);
    this.#setTimer();
  }

  async #runOnce() {
    try {
      const insist = this.#elsewhere >= MOST_ELSEWHERE;
      const outcome = await (insist ? this.#syncAll() : this.#parts.run_alone(() => this.#syncAll()));
      this.#elsewhere = outcome === "elsewhere" ? this.#elsewhere + 1 : 0;
      if (outcome === "elsewhere") await this.#tell({});
    } catch (error) {
      await this.#tellFailure(error);
    }
  }

  async #syncAll() {
    const { follow, renew } = this.#parts;
    // What is sent is signed: any session of this phone may carry it until the holder's key is open.
    await follow().catch((error) => {
      if (error.code !== "session_of_other") throw error;
    });
    try {
      return await this.#syncSignedIn();
    } catch (error) {
      if (error.status !== 401 || !(await renew())) throw error;
      return this.#syncSignedIn();
    }
  }

  async #syncSignedIn() {
    const { store } = this.#parts;
    const { person, cards } = await store.sync_facts();
    if (!person) return this.#tell({ state: "signed_out", progress: null, problem: null });
    await this.#tell({ state: "sending" });
    const total = this.status.unsent;
    const check = this.#checkedAll ? [] : cards;
    const { problem, differing } = await exchange_all(this.#parts, check,
      (done) => this.#progress("entries", done, total));
    this.#checkedAll = true;
    const troubles = [problem, differing.length ? new Problem("sets_differ", { count: differing.length }) : null];
    // The lease of this phone runs from the exchange, whatever becomes of its photos.
    const last_sync_at = new Date().toISOString();
    await store.note_sync(last_sync_at);
    troubles.push(...await this.#fetchRevisions(), ...await this.#sendPhotos());
    this.#failures = 0;
    return this.#tell({ state: "idle", progress: null, problem: troubles.find(Boolean) ?? null, last_sync_at });
  }

  /** The templates and local codes of the cards. */
  async #fetchRevisions() {
    const { store, api } = this.#parts;
    const lacking = (await store.lacking_templates()).map((revision) => [revision, "revision_text"]);
    lacking.push(...(await store.lacking_codes()).map((revision) => [revision, "local_code_text"]));
    const problems = [];
    for (const [done, [revision, kind]] of lacking.entries()) {
      this.#progress("cards", done, lacking.length);
      try {
        await store.keep_template(revision, await api[kind](revision));
      } catch (error) {
        // One template that cannot be had must not keep the photos from going.
        if (stateAfter(error) !== "refused" || error.code.startsWith("storage_")) throw error;
        problems.push(error);
      }
    }
    return problems;
  }

  async #sendPhotos() {
    const { store, api, hold } = this.#parts;
    const free = hold("photos are being sent");
    try {
      const tell = ({ done, total }) => this.#progress("photos", done, total);
      return await send_photos(store, api, { pace: this.#failures ? CAREFUL : FAST, skip: this.#refusedPhotos, tell });
    } finally {
      free();
    }
  }

  async #tellFailure(error) {
    const state = stateAfter(error);
    this.#failures += 1;
    await this.#tell({ state: state === "broken" ? "offline" : state, progress: null,
      problem: state === "broken" ? null : error });
    if (state === "broken") throw error;
  }

  async #tell(change) {
    const facts = await this.#parts.store.unsent_facts().catch((error) => {
      if (error instanceof Problem) return { problem: error };
      throw error;
    });
    this.#publish({ ...change, ...facts });
  }

  #progress(phase, done, total) {
    this.#publish({ progress: { phase, done: Math.min(done, total), total } });
  }

  #publish(change) {
    this.status = { ...this.status, ...change };
    this.dispatchEvent(new CustomEvent("status", { detail: this.status }));
  }

  async #noticeChange() {
    const before = this.status.unsent;
    await this.#tell({});
    if (this.status.unsent > before) this.request();
  }

  #setTimer() {
    if (this.#window?.document.visibilityState !== "visible" || this.status.state === "signed_out") return;
    this.#timer = setTimeout(() => this.request(), this.#pause());
  }

  #pause() {
    if (this.#elsewhere) return ELSEWHERE_PAUSE_MS;
    return this.#failures ? next_pause(this.#failures, this.#parts.random()) : IDLE_PAUSE_MS;
  }

  #clearTimer() {
    clearTimeout(this.#timer);
    this.#timer = null;
  }
}

/** What an error of the server, or of the way there, means for the whole sync. */
function stateAfter(error) {
  if (!(error instanceof Problem || error instanceof ServerProblem)) return "broken";
  if (error.status === 401) return "signed_out";
  if (error.code === "server_unreachable" || error.status >= 500 || error.status === 429) return "offline";
  return "refused";
}
