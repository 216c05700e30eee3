/*
 * The alarm of the server's log, whole, until somebody signed in says that they have asked about it.
 *
 * Usage: <phone-log></phone-log>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { session } from "../device/session.js";
import { accept_log, log_alarm } from "../device/store.js";
import { attempt } from "../parts/attempt.js";
import { problem_note, say } from "../parts/page_head.js";
import { time_words } from "../parts/status_words.js";
import { StoreWatch } from "./open_card.js";

class PhoneLog extends LitElement {
  static properties = { alarm: { state: true }, busy: { state: true }, problem: { state: true } };

  constructor() {
    super();
    new StoreWatch(this);
  }

  createRenderRoot() {
    return this;
  }

  async read() {
    this.alarm = await log_alarm();
  }

  async accept() {
    if (await attempt(this, accept_log)) say("This phone goes on from what the server shows now");
  }

  raised({ sentence, at }) {
    return html`
      <section class="found alarm"><h2>The server’s records</h2>
        <p class="problem">${sentence}</p>
        <p class="quiet">Noticed ${time_words(at)}. Your own entries stay on this phone.</p>
        ${session.person ? html`
          <p>Ask first, by voice or face to face. When you know why, this phone goes on from what the server shows now, and
            remembers that it did.</p>
          <button type="button" ?disabled=${this.busy} @click=${this.accept}>I have asked, and know why</button>`
          : html`<p>Sign in to say that you have asked.</p>`}
        ${problem_note(this.problem)}</section>`;
  }

  render() {
    return this.alarm ? this.raised(this.alarm) : nothing;
  }
}

customElements.define("phone-log", PhoneLog);
