/*
 * Issue a work card: a template against one aircraft, with its total time. Needs the shop's server.
 *
 * Usage: <issue-card></issue-card>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { aircraft, issue_card, templates } from "../device/api.js";
import { local_codes } from "../device/desk_api.js";
import { syncer } from "../device/sync.js";
import { attempt } from "../parts/attempt.js";
import { number_input } from "../parts/field_frame.js";
import { confirm_note } from "../parts/local_code_words.js";
import { page_head, problem_note, say } from "../parts/page_head.js";
import { number_problem, settled } from "../parts/typed_number.js";

class IssueCard extends LitElement {
  static properties = {
    choices: { state: true },
    hours: { state: true },
    busy: { state: true },
    problem: { state: true },
  };

  constructor() {
    super();
    this.hours = "";
  }

  createRenderRoot() {
    return this;
  }

  connectedCallback() {
    super.connectedCallback();
    attempt(this, async () => {
      const [fleet, plans, { chosen, codes }] = await Promise.all([aircraft(), templates(), local_codes()]);
      this.choices = { fleet, plans, code: codes.find(({ revision }) => revision === chosen) };
    });
  }

  async submit(event) {
    event.preventDefault();
    const { revision, registration } = event.target.elements;
    if (!this.hours.trim() || number_problem(this.hours)) {
      this.problem = "Type the total time of the airframe, for example 1234.5.";
      return;
    }
    await attempt(this, async () => {
      const times = { airframe: { value: settled(this.hours), unit: "h" } };
      const card = await issue_card({ revision: revision.value, registration: registration.value, times });
      say(`Issued: ${card.number}`);
      await syncer.now();
      location.hash = `#/card/${card.card}`;
    });
  }

  form({ fleet, plans, code }) {
    return html`
      <form @submit=${this.submit}>
        <label class="line" for="registration">Aircraft</label>
        <select id="registration" name="registration" required>${fleet.map(({ registration, model }) => html`
          <option value=${registration}>${registration}, ${model}</option>`)}</select>
        <label class="line" for="revision">Card template</label>
        <select id="revision" name="revision" required>${plans.map(({ revision, title }) => html`
          <option value=${revision}>${title}</option>`)}</select>
        <label class="line" id="hours-label" for="hours">Total time of the airframe now</label>
        ${number_input({ id: "hours", label: "hours-label", value: this.hours, unit: "h", change: (typed) => { this.hours = typed; } })}
        ${code ? html`<p class="quiet">Signed by the local code: ${code.title}.</p>${code.confirm ? confirm_note() : nothing}` : nothing}
        <button class="primary" ?disabled=${this.busy}>Issue the card</button>
      </form>`;
  }

  render() {
    return html`
      ${page_head({ title: "Issue a work card" })}
      ${this.choices ? this.form(this.choices) : html`<p class="quiet">${this.busy ? "Asking the server …" : "This needs the shop’s server."}</p>`}
      ${problem_note(this.problem)}`;
  }
}

customElements.define("issue-card", IssueCard);
