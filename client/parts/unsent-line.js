/*
 * How much is on this phone only, since when, and what is being done about it. On every page.
 *
 * Usage: <unsent-line></unsent-line>
 */
import { LitElement, html } from "../vendor/lit.js";
import { read_fact } from "../device/drafts.js";
import { session } from "../device/session.js";
import { phone_facts, storage_facts } from "../device/store.js";
import { syncer } from "../device/sync.js";
import { updates } from "../device/update.js";
import { may } from "../rules/sign_off.js";
import { lease_words, signs_until } from "./shop_words.js";
import { age_words, count_words } from "./status_words.js";

const STATE = {
  idle: "",
  offline: "No connection",
  signed_out: "Sign in to send",
  refused: "The server refused some: look here",
};
// Letters in the small row at 360 px, in bold too.
const ROW = 42;
const MINUTE = 60000;
const DAY = 24 * 60 * MINUTE;
const PHASE = { entries: "Sending entries", cards: "Comparing cards", photos: "Sending photos" };

/** "3 entries, 1 photo unsent" for the status of the syncer. */
export function unsent_words({ unsent, photos_unsent }) {
  if (!unsent && !photos_unsent) return "Everything is on the server";
  const parts = [unsent && count_words(unsent, "entry", "entries"), photos_unsent && count_words(photos_unsent, "photo", "photos")];
  return `${parts.filter(Boolean).join(", ")} unsent`;
}

/** ", 2 h" since the oldest was kept, or nothing within the first minute. `now` in milliseconds. */
export function oldest_words({ oldest_unsent_at }, now) {
  const age = oldest_unsent_at ? now - new Date(oldest_unsent_at) : 0;
  return age < MINUTE ? "" : `, ${age_words(age)}`;
}

/** The class of the line: nothing waits, something waits, something has waited for more than a day. */
export function urgency({ unsent, photos_unsent, refused, oldest_unsent_at }, now) {
  if (oldest_unsent_at && now - new Date(oldest_unsent_at) > DAY) return "waiting old";
  return unsent + photos_unsent + refused > 0 ? "waiting" : "clear";
}

/** What the syncer does now, in words; empty when there is nothing to say. `holder` = session.person. */
export function sync_words({ state, progress, unsent, problem }, holder) {
  // The server answered, only not as hoped: a full disk, for one. Its own sentence stands on the page behind this line.
  if (state === "offline" && problem && problem.code !== "server_unreachable") return "Server cannot take it";
  if (state === "sending") return progress ? `${PHASE[progress.phase]}: ${progress.done} of ${progress.total}` : "Sending";
  if (state === "signed_out" && holder) return may(holder.roles, "result") ? "Give your code to connect" : "Sign in again to connect";
  return state === "signed_out" && !unsent ? "" : STATE[state];
}

/** Of `words`, the most pressing first: as many as one row of a narrow phone holds, and never none. */
export function one_row(words) {
  const said = words.filter(Boolean);
  while (said.length > 1 && said.join(" · ").length > ROW) said.pop();
  return said;
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
    // A third line would push the page down under the thumb.
    const row = one_row([
      lease_words(this.until, Date.now()), sync_words(status, session.person), updates.waiting && "New version ready",
      this.persisted === false && "Browser may clear storage",
    ]);
    // The age stands outside the live regions: a screen reader need not hear every minute pass.
    return html`
      <a href="#/phone" class=${urgency(status, Date.now())}>
        <span class="dot" aria-hidden="true"></span>
        <span><span aria-live="polite">${unsent_words(status)}</span>${oldest_words(status, Date.now())}
          <span class="small" aria-live="polite">${row.join(" · ")}</span></span>
      </a>`;
  }
}

customElements.define("unsent-line", UnsentLine);
