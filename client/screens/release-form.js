/*
 * What a release or a disapproval says, as it is typed, and the sentence exactly as it will be signed.
 * An inspection and a maintenance record have their own fields (14 CFR 43.11 and 43.9).
 *
 * Usage:
 *   <release-form .view=${open_card} .kind=${"release"} .typed=${first_approval(...)} .person=${session.person} .busy=${false}
 *     .refusal=${"..."} @typed=${(event) => event.detail} @given=${(event) => event.detail}></release-form>
 */
import { LitElement, html, live, nothing } from "../vendor/lit.js";
import { number_input } from "../parts/field_frame.js";
import { problem_note } from "../parts/page_head.js";
import { count_words, item_words } from "../parts/status_words.js";
import { record_of } from "../rules/local_code.js";
import { approval_body, approval_problems } from "./approval_body.js";
import { find_item } from "./open_card.js";
import "../parts/code-field.js";

const WORDS = { release: "Approve for return to service", disapproval: "Sign the disapproval" };
const RECORDS = {
  inspection: "Inspection record: the whole inspection",
  inspection_part: "Inspection record: the part that this card holds",
  maintenance: "Maintenance record: the work described, and nothing else",
};

class ReleaseForm extends LitElement {
  static properties = {
    view: { attribute: false },
    kind: { attribute: false },
    typed: { attribute: false },
    person: { attribute: false },
    busy: { attribute: false },
    refusal: { attribute: false },
  };

  createRenderRoot() {
    return this;
  }

  change(part) {
    this.dispatchEvent(new CustomEvent("typed", { detail: { ...this.typed, ...part } }));
  }

  line(id, label, name, { rows = 1, most = 120, why = "" } = {}) {
    const take = (text) => this.change({ [name]: rows > 1 ? text : text.replace(/\s*\n/g, " ") });
    return html`
      <label class="line" for=${id}>${label}</label>
      <textarea id=${id} rows=${rows} maxlength=${most} aria-describedby=${why ? `${id}-why` : nothing}
        .value=${live(this.typed[name])} @input=${(event) => take(event.target.value)}></textarea>
      ${why ? html`<p class="quiet" id="${id}-why">${why}</p>` : nothing}`;
  }

  day(id, label, name) {
    return html`
      <label class="line" for=${id}>${label}</label>
      <input id=${id} type="date" required .value=${live(this.typed[name])}
        @input=${(event) => this.change({ [name]: event.target.value })}>`;
  }

  hours(needed) {
    return html`
      <label class="line" id="hours-label" for="hours">Total time of the airframe now
        ${needed ? nothing : html`<span class="quiet">may stay empty</span>`}</label>
      ${number_input({ id: "hours", label: "hours-label", value: this.typed.hours, unit: "h",
        change: (hours) => this.change({ hours }) })}
      ${this.hours_of_issue()}`;
  }

  /* A value that nobody read from the meter must not pass for one that somebody did. */
  hours_of_issue() {
    const issued = this.view.card.times?.airframe?.value;
    return issued && this.typed.hours === issued
      ? html`<p class="quiet">This is the time at the issue of the card. Read the hour-meter now.</p>` : nothing;
  }

  inspection() {
    return html`
      ${this.line("type", "Type of inspection", "type")}
      ${this.line("extent", "What it took in", "extent", { rows: 3, most: 4000 })}
      ${this.day("date", "Date of the inspection", "date")}
      ${this.hours(true)}`;
  }

  work() {
    return html`
      ${this.line("description", "Description of the work done", "description", { rows: 3, most: 4000 })}
      ${this.day("completed", "Date it was completed", "completed_on")}
      ${this.line("by", "Names of others who did the work", "by",
        { rows: 2, most: 1900, why: "One on each line; empty when you did it all." })}
      ${this.hours(false)}`;
  }

  covered() {
    const { state } = this.view;
    return html`
      <details><summary>What the signature covers: ${count_words(state.covers.length, "entry", "entries")}</summary>
        <ol class="covered">${state.items.map((item) => html`
          <li>${item.number} ${find_item(this.view, item.item).item.title}: ${item_words(item)}</li>`)}</ol></details>`;
  }

  /* The sentence follows what is typed above it; the code is asked for once nothing is missing. */
  signing() {
    const { view, kind, typed } = this;
    const missing = approval_problems(view, kind, typed);
    return html`
      <h2>What you sign</h2>
      <blockquote class="statement">${approval_body(view, kind, typed).statement}</blockquote>
      ${view.code.confirm ? html`<p class="caution"><strong>Confirm with your authority before use.</strong>
        The sentence is from “${view.code.title}”, which nobody has confirmed for you.</p>` : nothing}
      ${missing.length ? html`${problem_note(missing)} ${problem_note(this.refusal)}` : html`
        <code-field .person=${this.person} .words=${WORDS[kind]} .tone=${kind} .busy=${this.busy}
          .refusal=${this.refusal}></code-field>`}`;
  }

  render() {
    const record = record_of(this.view.template);
    return html`
      <section><h2>${RECORDS[record]}</h2>${record === "maintenance" ? this.work() : this.inspection()}</section>
      ${this.covered()}
      <section>${this.signing()}</section>`;
  }
}

customElements.define("release-form", ReleaseForm);
