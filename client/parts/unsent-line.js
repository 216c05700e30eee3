/*
 * How much is on this phone only, since when, and what is being done about it. On every page.
 *
 * Usage: <unsent-line></unsent-line>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { read_fact } from "../device/drafts.js";
import { phone_facts, storage_facts } from "../device/store.js";
import { syncer } from "../device/sync.js";
import { updates } from "../device/update.js";
import { lease_words, signs_until } from "./shop_words.js";
import { age_words, count_words } from "./status_words.js";

const STATE = {
  idle: "",
  offline: "No connection",
  signed_out: "Sign in to send",
  refused: "The server refused some: look here",
};
const MINUTE = 60000;
const DAY = 24 * 60 * MINUTE;
const PHASE = { entries: "Sending entries", cards: "Comparing cards", photos: "Sending photos" };

/** "3 entries, 1 photo unsent" for the status of the syncer. */
export function unsent_words({ unsent, photos_unsent }) {
  if (!unsent && !photos_unsent) return "Everything is on the server";
  const parts = [unsent && count_words(unsent, "entry", "entries"), photos_unsent && count_words(photos_unsent, "photo", "photos")];
  return `${parts.filter(Boolean).join(", ")} unsent`;
}

/** ", oldest 2 h", or nothing within the first minute. `now` in milliseconds. */
export function oldest_words({ oldest_unsent_at }, now) {
  const age = oldest_unsent_at ? now - new Date(oldest_unsent_at) : 0;
  return age < MINUTE ? "" : `, oldest ${age_words(age)}`;
}

/** The class of the line: nothing waits, something waits, something has waited for more than a day. */
export function urgency({ unsent, photos_unsent, refused, oldest_unsent_at }, now) {
  if (oldest_unsent_at && now - new Date(oldest_unsent_at) > DAY) return "waiting old";
  return unsent + photos_unsent + refused > 0 ? "waiting" : "clear";
}

/** What the syncer does now, in words; empty when there is nothing to say. */
export function sync_words({ state, progress, unsent, problem }) {
  // The server answered, only not as hoped: a full disk, for one. Its own sentence stands on the page behind this line.
  if (state === "offline" && problem && problem.code !== "server_unreachable") return "Server cannot take it";
  if (state === "sending") return progress ? `${PHASE[progress.phase]}: ${progress.done} of ${progress.total}` : "Sending";
  return state === "signed_out" && !unsent ? "" : STATE[state];
}

class UnsentLine extends LitElement {
  static properties = { persisted: { state: true }, until: { state: true } };

  createRenderRoot() {
    return this;
  }

  connectedCallback() {
    super.connectedCallback();
    this.update_line = () => (syncer.status.state === "idle" ? this.read_lease() : this.requestUpdate());
    syncer.addEventListener("status", this.update_line);
    updates.addEventListener("ready", this.update_line);
    this.clock = setInterval(() => this.read_lease(), 30000);
    this.read_lease();
    storage_facts().then(({ persisted }) => { this.persisted = persisted; });
  }

  disconnectedCallback() {
    super.disconnectedCallback();
    syncer.removeEventListener("status", this.update_line);
    updates.removeEventListener("ready", this.update_line);
    clearInterval(this.clock);
  }

  async read_lease() {
    const [last, facts] = await Promise.all([read_fact("last_sync_at"), phone_facts()]);
    this.until = signs_until(last, facts?.lease_days);
    this.requestUpdate();
  }

  render() {
    const { status } = syncer;
    const lease = lease_words(this.until, Date.now());
    // A third line for the seconds of a send would push the page down under the thumb.
    const says_storage = this.persisted === false && status.state !== "sending";
    // The age stands outside the live regions: a screen reader need not hear every minute pass.
    return html`
      <a href="#/phone" class=${urgency(status, Date.now())}>
        <span class="dot" aria-hidden="true"></span>
        <span><span aria-live="polite">${unsent_words(status)}</span>${oldest_words(status, Date.now())}
          <span class="small"><span aria-live="polite">${sync_words(status)}</span>
            ${updates.waiting ? html`<span role="status">New version ready</span>` : nothing}
            ${lease ? html`<span role="status">${lease}</span>` : nothing}
            ${says_storage && !lease ? html`<span>Browser may clear storage</span>` : nothing}</span></span>
      </a>`;
  }
}

customElements.define("unsent-line", UnsentLine);
