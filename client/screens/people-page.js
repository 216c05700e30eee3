/*
 * The people of the shop: what each may do, and the phones they sign on. For the author.
 *
 * Usage: <people-page></people-page>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { people } from "../device/desk_api.js";
import { attempt } from "../parts/attempt.js";
import { page_head, problem_note } from "../parts/page_head.js";
import { from_server } from "../parts/reasoned.js";
import { authority_state, authority_words, day_of } from "../parts/shop_words.js";
import { count_words } from "../parts/status_words.js";

/** The phones on which a person can still sign. */
export const living_phones = ({ phones }) => phones.filter(({ ended }) => !ended);

class PeoplePage extends LitElement {
  static properties = { people: { state: true }, busy: { state: true }, problem: { state: true } };

  createRenderRoot() {
    return this;
  }

  connectedCallback() {
    super.connectedCallback();
    this.load();
  }

  load() {
    return attempt(this, async () => {
      this.people = (await people()).sort((a, b) => a.name.localeCompare(b.name));
    });
  }

  row(person) {
    const today = day_of(new Date());
    const signs = living_phones(person).length;
    return html`
      <li><a class="card plain" href="#/person/${person.person}">
        <strong class="title">${person.name}</strong>
        <span class="quiet">signs in as ${person.login}</span>
        <span>${person.authorities.map((held, place) => {
          const stands = authority_state(held, today);
          return html`${place ? ", " : ""}${stands ? html`<span class="lapsed">${authority_words(held)} (${stands})</span>` : authority_words(held)}`;
        })}</span>
        ${signs ? html`<span class="quiet">Signs on ${count_words(signs, "phone", "phones")}</span>` : nothing}</a></li>`;
  }

  list() {
    const left = this.people.filter(({ active }) => !active);
    return html`
      <ul class="cards">${this.people.filter(({ active }) => active).map((person) => this.row(person))}</ul>
      <div class="ways"><a class="button primary" href="#/person/new">Add a person</a></div>
      ${left.length ? html`<details><summary>Have left: ${left.length}</summary>
        <ul class="cards">${left.map((person) => this.row(person))}</ul></details>` : nothing}`;
  }

  render() {
    return html`
      ${page_head({ title: "People" })}
      ${problem_note(this.problem)}
      ${this.people ? this.list() : from_server({ busy: this.busy, again: () => this.load() })}`;
  }
}

customElements.define("people-page", PeoplePage);
