/*
 * New signing keys that wait for a colleague's word: whose, since when, because of which new start. A mechanic or inspector
 * who knows the person compares the key and signs. Shows nothing while none waits, or without the server.
 *
 * Usage: <vouch-list @vouched=${() => {}}></vouch-list>
 */
import { LitElement, html, nothing, repeat } from "../vendor/lit.js";
import { keys_waiting } from "../device/desk_api.js";
import { vouch } from "../device/keys.js";
import { session } from "../device/session.js";
import { syncer } from "../device/sync.js";
import { attempt } from "../parts/attempt.js";
import { say } from "../parts/page_head.js";
import { day_words } from "../parts/shop_words.js";
import { time_words } from "../parts/status_words.js";
import { VOUCH_STATEMENT } from "../rules/vouch.js";
import "../parts/code-field.js";

class VouchList extends LitElement {
  static properties = {
    keys: { state: true },
    open: { state: true },
    busy: { state: true },
    problem: { state: true },
  };

  constructor() {
    super();
    this.keys = [];
  }

  createRenderRoot() {
    return this;
  }

  connectedCallback() {
    super.connectedCallback();
    this.load();
  }

  async load() {
    await attempt({}, async () => { this.keys = await keys_waiting(); });
  }

  async sign(key, given) {
    if (!await attempt(this, () => vouch(session.person.person, given, key))) return;
    this.open = null;
    say(`Vouched for the key of ${key.name}`);
    await this.load();
    syncer.request();
    this.dispatchEvent(new CustomEvent("vouched", { bubbles: true }));
  }

  turn_to(kid) {
    this.open = kid;
    this.problem = "";
  }

  signing(key, short) {
    const { person } = session.person;
    if (key.person === person) {
      return html`<p>It is yours: go to a colleague with the phone it is on. They open this page on their own phone.</p>`;
    }
    if (key.since?.person === person) return html`<p>You made the new start, so somebody else has to vouch.</p>`;
    if (this.open !== key.kid) {
      return html`<div class="ways"><button type="button" @click=${() => this.turn_to(key.kid)}>Vouch for ${key.name} …</button></div>`;
    }
    return html`
      <div class="found kept"><h2>Vouch for ${key.name}</h2>
        <p>Look at ${key.name}’s phone, on the page “What this phone keeps”: the key there begins with <strong>${short}</strong>.
          If it does not, or you were not there, do not sign.</p>
        <blockquote class="statement">${VOUCH_STATEMENT}</blockquote>
        <code-field .person=${session.person} .words=${"Sign: vouch"} .busy=${this.busy} .refusal=${this.problem} ?cancel=${true}
          @given=${({ detail }) => this.sign(key, detail)} @cancelled=${() => this.turn_to(null)}></code-field></div>`;
  }

  key(key) {
    const { kid, name, label, enrolled_at, since } = key;
    const short = kid.slice(0, 8);
    return html`
      <li class="entry"><p class="verdict-words">${name}: new key <span class="whole">${short}</span></p>
        <p class="who">Set up ${time_words(enrolled_at)} on ${label || "a phone"}<br>
          ${since ? html`New start ${day_words(since.at.slice(0, 10))} by ${since.name}: ${since.why}` : nothing}</p>
        ${this.signing(key, short)}</li>`;
  }

  render() {
    if (!this.keys.length) return nothing;
    return html`
      <section><h2>New keys that wait for a colleague</h2>
        <p>What they sign is refused until somebody who knows the person vouches. Then it is taken in by itself.</p>
        <ul class="cards">${repeat(this.keys, ({ kid }) => kid, (key) => this.key(key))}</ul></section>`;
  }
}

customElements.define("vouch-list", VouchList);
