/*
 * One person of the shop: name, certificate, what they may do and from when until when. A new one gets a sign-in name.
 * The person's phones, a new start and the end are person-keys.
 *
 * Usage: <person-form .person_id=${person}></person-form>     person "new": somebody who is to be added
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { add_person, change_person, people } from "../device/desk_api.js";
import { attempt } from "../parts/attempt.js";
import { page_head, problem_note, say } from "../parts/page_head.js";
import { from_server } from "../parts/reasoned.js";
import { ROLES } from "../rules/sign_off.js";
import "./person-keys.js";

const NOBODY = { name: "", certificate: { kind: "", number: "" }, authorities: [], phones: [], active: true };
const DOES = {
  mechanic: "records results and corrections",
  inspector: "countersigns, settles, releases",
  author: "keeps people, tools, card templates",
  reader: "reads",
};

class PersonForm extends LitElement {
  static properties = {
    person_id: { attribute: false },
    person: { state: true },
    held: { state: true },
    busy: { state: true },
    problem: { state: true },
  };

  createRenderRoot() {
    return this;
  }

  connectedCallback() {
    super.connectedCallback();
    this.load();
  }

  get is_new() {
    return this.person_id === "new";
  }

  load() {
    return attempt(this, async () => {
      const found = this.is_new ? NOBODY : (await people()).find(({ person }) => person === this.person_id);
      this.person = found ?? null;
      this.held = new Set(found?.authorities.map(({ role }) => role));
    });
  }

  async submit(event) {
    event.preventDefault();
    const inputs = event.target.elements;
    const typed = (name) => inputs[name].value.trim();
    const facts = {
      name: typed("name"),
      certificate: { kind: typed("certificate-kind"), number: typed("certificate-number") },
      authorities: ROLES.filter((role) => this.held.has(role)).map((role) => ({
        role, from: inputs[`${role}-from`].value || null, until: inputs[`${role}-until`].value || null,
      })),
    };
    const kept = await attempt(this, () => (this.is_new
      ? add_person({ ...facts, login: typed("login"), password: inputs.password.value })
      : change_person(this.person_id, facts)));
    if (!kept) return;
    say(`${this.is_new ? "Added" : "Changed"}: ${facts.name}`);
    location.hash = "#/people";
  }

  turn(role, held) {
    this.held = new Set(held ? [...this.held, role] : [...this.held].filter((other) => other !== role));
  }

  authority(role) {
    const held = this.held.has(role);
    const { from, until } = this.person.authorities.find((found) => found.role === role) ?? {};
    const day = (name, words, value) => html`<span><label class="line" for="${role}-${name}">${words}</label>
      <input type="date" id="${role}-${name}" name="${role}-${name}" .value=${value ?? ""}></span>`;
    return html`
      <label class="option wide"><input type="checkbox" name=${role} .checked=${held}
        @change=${(event) => this.turn(role, event.target.checked)}><span>${role}: ${DOES[role]}</span></label>
      ${held ? html`<div class="days">${day("from", `${role} from`, from)} ${day("until", "until", until)}</div>` : nothing}`;
  }

  entrance() {
    return html`
      <label class="line" for="login">Name to sign in with</label>
      <input id="login" name="login" autocomplete="off" autocapitalize="none" spellcheck="false" maxlength="60" required>
      <label class="line" for="password">First password</label>
      <input id="password" name="password" autocomplete="off" autocapitalize="none" spellcheck="false" required>
      <p class="quiet">Tell it to this person only. They change it on the page “What this phone keeps”.</p>`;
  }

  form() {
    const { name, certificate } = this.person;
    return html`
      <form @submit=${this.submit}>
        <label class="line" for="name">Name, as it stands on paper</label>
        <input id="name" name="name" autocomplete="off" maxlength="120" .value=${name} required>
        ${this.is_new ? this.entrance() : nothing}
        <label class="line" for="certificate-kind">Certificate: kind</label>
        <input id="certificate-kind" name="certificate-kind" autocomplete="off" maxlength="120" .value=${certificate.kind}>
        <label class="line" for="certificate-number">Certificate: number</label>
        <input id="certificate-number" name="certificate-number" autocomplete="off" maxlength="60" .value=${certificate.number}>
        <fieldset class="field"><legend>May act as</legend>
          <p class="quiet">Days may stay empty: then there is no limit. The first and the last day count.</p>
          ${ROLES.map((role) => this.authority(role))}</fieldset>
        ${problem_note(this.problem)}
        <button class="primary" ?disabled=${this.busy}>${this.is_new ? "Add this person" : "Keep the changes"}</button>
      </form>`;
  }

  body() {
    if (this.person === undefined) {
      return html`${problem_note(this.problem)} ${from_server({ busy: this.busy, again: () => this.load() })}`;
    }
    if (this.person === null) return html`<p>There is nobody here by that name. Go back to the list and choose again.</p>`;
    if (!this.person.active) return html`<p class="problem">${this.person.name} has left. The sign-in name is never given again.</p>`;
    return this.form();
  }

  render() {
    const { person } = this;
    return html`
      ${page_head({ back: "#/people", back_words: "People", above: person?.login, title: this.is_new ? "Add a person" : person?.name ?? "Person" })}
      ${this.body()}
      ${person && !this.is_new ? html`<person-keys .person=${person} @decided=${() => this.load()}></person-keys>` : nothing}`;
  }
}

customElements.define("person-form", PersonForm);
