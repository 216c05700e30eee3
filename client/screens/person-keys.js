/*
 * The phones a person signs on, and what ends signing: the end of one phone's key, a new start, leaving the shop.
 * Each needs its reason, holds from the next request on, and stays visible for ever.
 *
 * Usage: <person-keys .person=${of_the_api} @decided=${() => {}}></person-keys>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { end_key, end_person, new_start } from "../device/desk_api.js";
import { attempt } from "../parts/attempt.js";
import { problem_note, say } from "../parts/page_head.js";
import { reasoned } from "../parts/reasoned.js";
import { day_words, ended_words, guard_words } from "../parts/shop_words.js";
import { time_words } from "../parts/status_words.js";

class PersonKeys extends LitElement {
  static properties = { person: { attribute: false }, busy: { state: true }, problem: { state: true } };

  createRenderRoot() {
    return this;
  }

  async decide(work, words) {
    if (!await attempt(this, work)) return;
    // A new password must not stay on the screen.
    for (const form of this.querySelectorAll("form")) form.reset();
    for (const details of this.querySelectorAll("details")) details.open = false;
    say(words);
    this.dispatchEvent(new CustomEvent("decided", { bubbles: true }));
  }

  phone({ label, kid, guard, enrolled_at, synced_at, ended }) {
    const { name } = this.person;
    return html`
      <li class="entry ${ended ? "fail" : ""}">
        <p class="verdict-words">${label || "A phone"}</p>
        <p class="who">Signing set up ${time_words(enrolled_at)}<br>
          ${synced_at ? `Last met the server ${time_words(synced_at)}` : "Has not met the server since"}<br>
          Key ${kid.slice(0, 12)}, ${guard_words(guard)}</p>
        ${ended ? html`<p><strong>${ended_words(ended)}</strong></p>` : reasoned({
          id: `key-${kid}`, summary: "End this phone’s key", busy: this.busy, button: "End the key",
          words: `For a phone that is lost, sold or broken. Whatever ${name} signs on it from now on is refused until an `
            + "inspector decides. What is here already stays as it is.",
          decide: (why) => this.decide(() => end_key(kid, why), "The key is ended"),
        })}</li>`;
  }

  starts() {
    const { person, name } = this.person;
    return html`
      ${reasoned({
        id: "start", summary: "New start: password forgotten, or the account in other hands", busy: this.busy, button: "Begin anew",
        words: `${name} gets a new password. All sessions and all signing keys of ${name} end, and signing is set up again on `
          + "each phone. This stays visible in the records.",
        more: html`<label class="line" for="start-password">New password</label>
          <input id="start-password" name="password" autocomplete="off" autocapitalize="none" spellcheck="false" required>`,
        decide: (why, inputs) => this.decide(() => new_start(person, inputs.password.value, why), `New start: ${name}`),
      })}
      ${reasoned({
        id: "end", summary: `${name} leaves the shop`, busy: this.busy, button: `End the account of ${name}`,
        words: `${name} can no longer sign in or sign. What ${name} has signed stays. The sign-in name is never given again, `
          + "and this cannot be taken back.",
        decide: (why) => this.decide(() => end_person(person, why), `Has left: ${name}`),
      })}`;
  }

  render() {
    const { phones, active, new_starts } = this.person;
    return html`
      ${problem_note(this.problem)}
      <section><h2>Phones</h2>
        ${phones.length ? html`<ul class="cards">${phones.map((phone) => this.phone(phone))}</ul>`
          : html`<p>Signing is not set up on any phone.</p>`}
        ${new_starts.map(({ at, why, name }) => html`<p><strong>New start</strong> ${day_words(at.slice(0, 10))} by ${name}: ${why}</p>`)}
      </section>
      ${active ? html`<section><h2>Ending</h2>${this.starts()}</section>` : nothing}`;
  }
}

customElements.define("person-keys", PersonKeys);
