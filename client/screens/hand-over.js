/*
 * This phone goes to another person: one touch and their signing code, with or without a network. Who does not sign
 * on this phone signs in with a password, which needs the server.
 *
 * Usage: <hand-over></hand-over>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { enrolled, keys_events } from "../device/keys.js";
import { session } from "../device/session.js";
import { attempt } from "../parts/attempt.js";
import { page_head, say } from "../parts/page_head.js";
import { Watch } from "../parts/watch.js";
import "../parts/code-field.js";
import "./sign-in.js";

const GUARDS = { code: "signs with a code", passkey: "signs with the phone’s own unlock" };

class HandOver extends LitElement {
  static properties = {
    people: { state: true },
    chosen: { state: true },
    busy: { state: true },
    problem: { state: true },
  };

  constructor() {
    super();
    new Watch(this, [[keys_events, "changed"]]);
  }

  createRenderRoot() {
    return this;
  }

  async read() {
    this.people = await enrolled();
  }

  choose(person) {
    this.chosen = person;
    this.problem = "";
  }

  async take(secret) {
    const { person, name } = this.chosen;
    if (!await attempt(this, () => session.hand_over_to(person, secret))) return;
    say(`${name} has this phone now`);
    location.hash = "#/";
  }

  person(one) {
    const here = one.person === this.chosen?.person;
    return html`
      <li><button type="button" class="person" aria-expanded=${String(here)} ?disabled=${this.busy}
          @click=${() => this.choose(one)}><strong>${one.name}</strong> <span class="quiet">${this.stands(one)}</span></button>
        ${here ? this.code_of(one) : nothing}</li>`;
  }

  /* Who has the phone already gives the code once more when the server still knows somebody else on it. */
  stands({ person, guard }) {
    return person === session.person?.person ? `has it now; ${GUARDS[guard]}` : GUARDS[guard];
  }

  code_of(one) {
    return html`
      <code-field cancel .person=${one} .words=${`${one.name.split(" ")[0]} takes this phone`} .busy=${this.busy}
        .refusal=${this.problem} @given=${(event) => this.take(event.detail)} @cancelled=${() => this.choose(null)}></code-field>`;
  }

  render() {
    const { people } = this;
    if (!people) return html`<p class="quiet">Looking who signs on this phone …</p>`;
    const now = session.person;
    return html`
      ${page_head({ title: "Hand over" })}
      ${now ? html`<p><strong>${now.name}</strong> has this phone until somebody else takes it.
        Unsent work stays on it.</p>` : nothing}
      ${people.length ? html`<section><h2>Who takes it?</h2>
        <ul class="people">${people.map((one) => this.person(one))}</ul></section>` : nothing}
      <details ?open=${!people.some(({ person }) => person !== now?.person)}><summary>Somebody who does not sign on this phone yet</summary>
        <sign-in hand_over></sign-in></details>`;
  }
}

customElements.define("hand-over", HandOver);
