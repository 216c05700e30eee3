/*
 * What the server refused: what, by whom, why, since when, and what became of it. An inspector decides about each one;
 * a mechanic sees what they sent themselves. Nothing here is ever deleted.
 *
 * Usage: <refused-page></refused-page>
 */
import { LitElement, html, nothing, repeat } from "../vendor/lit.js";
import { quarantine } from "../device/api.js";
import { set_aside } from "../device/desk_api.js";
import { syncer } from "../device/sync.js";
import { attempt } from "../parts/attempt.js";
import { page_head, problem_note, say } from "../parts/page_head.js";
import { from_server } from "../parts/reasoned.js";
import { read_entry } from "../rules/entry.js";
import { may } from "../rules/sign_off.js";
import { StoreWatch, open_card } from "./open_card.js";
import { roles_today } from "./record.js";
import "./refused-entry.js";
import "./vouch-list.js";

/** Does an entry of GET /api/quarantine wait for a decision? */
export const undecided = ({ kept, resolution }) => !kept && !resolution;

/** {payload, view}: what a refused entry says and its open card; payload null when it cannot be read at all. */
async function opened(text) {
  try {
    const { payload } = await read_entry(text);
    return { payload, view: await open_card(payload.card) };
  } catch (refusal) {
    if (!refusal.sentence) throw refusal;
    return { payload: null, view: null };
  }
}

class RefusedPage extends LitElement {
  static properties = { entries: { state: true }, busy: { state: true }, problem: { state: true } };

  constructor() {
    super();
    this.listed = null;
    new StoreWatch(this);
  }

  createRenderRoot() {
    return this;
  }

  connectedCallback() {
    super.connectedCallback();
    this.load();
  }

  load() {
    return attempt(this, async () => {
      this.listed = (await quarantine()).entries;
      await this.read();
    });
  }

  /* Their work cards may come to this phone later than the list. */
  async read() {
    if (!this.listed) return;
    this.entries = await Promise.all(this.listed.map(async (entry) => ({ ...entry, ...await opened(entry.text) })));
  }

  async set_aside({ number }, reason) {
    if (!await attempt(this, () => set_aside(number, reason))) return;
    say("Set aside");
    await this.load();
  }

  /* The signed admission is on this phone; the server lifts the entry when it arrives there. */
  async taken_in({ number }) {
    const { unsent } = await syncer.now();
    await this.load();
    const waits = undecided(this.entries.find((entry) => entry.number === number));
    if (unsent) say("Signed on this phone. It is taken in when the server is reached.");
    else say(waits ? "The server did not take it in. The reason stands on the page “What this phone keeps”." : "Taken in", !waits);
  }

  entry(entry) {
    return html`
      <li><refused-entry .entry=${entry} .decides=${may(roles_today(), "admission")} .waits=${this.busy}
        @signed=${() => this.taken_in(entry)} @set_aside=${({ detail }) => this.set_aside(entry, detail)}></refused-entry></li>`;
  }

  list() {
    const waiting = this.entries.filter(undecided);
    const decided = this.entries.filter((entry) => !undecided(entry));
    const key = ({ number }) => number;
    return html`
      <p>Refused entries are kept, but they do not count until an inspector takes them in.</p>
      ${waiting.length ? html`<ul class="cards">${repeat(waiting, key, (entry) => this.entry(entry))}</ul>`
        : html`<p><strong>Nothing waits for a decision.</strong></p>`}
      ${decided.length ? html`<h2>Decided</h2>
        <ul class="cards">${repeat(decided, key, (entry) => this.entry(entry))}</ul>` : nothing}`;
  }

  render() {
    return html`
      ${page_head({ title: "Refused entries" })}
      ${problem_note(this.problem)}
      ${may(roles_today(), "result") ? html`<vouch-list @vouched=${() => this.load()}></vouch-list>` : nothing}
      ${this.entries ? this.list() : from_server({ busy: this.busy, again: () => this.load() })}`;
  }
}

customElements.define("refused-page", RefusedPage);
