/*
 * Who signs on this phone and how their keys are guarded, and until when signing works without the server.
 *
 * Usage: <phone-signing .person=${session.person}></phone-signing>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { read_fact } from "../device/drafts.js";
import { enrolled, keys_events, remove_key } from "../device/keys.js";
import { phone_facts, store_events } from "../device/store.js";
import { attempt } from "../parts/attempt.js";
import { problem_note, say } from "../parts/page_head.js";
import { reasoned } from "../parts/reasoned.js";
import { guard_words, signs_until } from "../parts/shop_words.js";
import { time_words } from "../parts/status_words.js";
import { Watch } from "../parts/watch.js";
import { may } from "../rules/sign_off.js";

class PhoneSigning extends LitElement {
  static properties = {
    person: { attribute: false },
    enrolled: { state: true },
    until: { state: true },
    busy: { state: true },
    problem: { state: true },
  };

  constructor() {
    super();
    this.enrolled = [];
    new Watch(this, [[store_events, "changed"], [keys_events, "changed"]]);
  }

  createRenderRoot() {
    return this;
  }

  async read() {
    const [people, last, facts] = await Promise.all([enrolled(), read_fact("last_sync_at"), phone_facts()]);
    this.enrolled = people;
    this.until = signs_until(last, facts?.lease_days);
  }

  async remove({ person, name }, why) {
    if (await attempt(this, () => remove_key(person, why))) say(`${name} no longer signs on this phone`);
    await this.read();
  }

  one(found) {
    const { person, name, kid, guard } = found;
    return html`
      <li class="entry"><p class="verdict-words">${name}</p>
        <p class="who">Key ${kid.slice(0, 12)}, ${guard_words(guard)}</p>
        ${person === this.person?.person ? reasoned({
          id: "remove-key", summary: "Remove my key from this phone", busy: this.busy, button: "Remove my key",
          words: "You no longer sign on this phone, and the shop is told that this key has ended. What you have signed stays. "
            + "Send your unsent work first: what arrives after the end waits for an inspector.",
          decide: (why) => this.remove(found, why),
        }) : nothing}</li>`;
  }

  render() {
    const mine = this.enrolled.some(({ person }) => person === this.person?.person);
    const could = this.person && !mine && may(this.person.roles, "result");
    return html`
      <section><h2>Signing on this phone</h2>
        ${problem_note(this.problem)}
        ${this.enrolled.length ? html`<ul class="cards">${this.enrolled.map((found) => this.one(found))}</ul>`
          : html`<p>Nobody signs on this phone yet.</p>`}
        ${could ? html`<div class="ways"><a class="button" href="#/enrol/phone">Set up signing for ${this.person.name}</a></div>` : nothing}
        ${this.until && this.enrolled.length ? html`<p class="quiet">Without the server, signing works until ${time_words(this.until)}.</p>` : nothing}
      </section>`;
  }
}

customElements.define("phone-signing", PhoneSigning);
