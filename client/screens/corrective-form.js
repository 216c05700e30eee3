/*
 * What was done about a failed item. Afterwards the item waits to be inspected again.
 *
 * Usage:
 *   <corrective-form .draft=${draft} .busy=${false} .refusal=${"not saved: ..."} .person=${session.person}
 *     .asking=${null | "Sign: corrective action"} .before_camera=${async () => {}} @draft=${(event) => event.detail}
 *     @record=${(event) => event.detail} @given=${...} @cancelled=${...}></corrective-form>
 * While `asking` is set, the signing code is asked for in place of the button: see parts/code-field.js.
 */
import { html, live } from "../vendor/lit.js";
import { problem_note } from "../parts/page_head.js";
import { DraftForm } from "./draft_form.js";
import { corrective_body } from "./result_body.js";
import "../parts/code-field.js";
import "../parts/photo-strip.js";
import "../parts/who-signs.js";

class CorrectiveForm extends DraftForm {
  finish() {
    const body = corrective_body(this.draft);
    this.record(body, body.action ? "" : "Say what was done to correct it.");
  }

  render() {
    const { draft, busy } = this;
    return html`
      <section class="found">
        <h2>Corrective action</h2>
        <label class="line" for="action">What was done to correct it?</label>
        <textarea id="action" rows="3" maxlength="4000" .value=${live(draft.action)}
          @input=${(event) => this.change({ action: event.target.value })}></textarea>
        <photo-strip .photos=${draft.photos} .before_camera=${this.before_camera}
          @photos=${(event) => this.change({ photos: event.detail })}></photo-strip>
        <p class="quiet">After this the item must be inspected again before it can pass.</p>
        ${this.asking ? html`<code-field cancel .person=${this.person} .words=${this.asking} .busy=${busy}
          .refusal=${this.refusal}></code-field>` : this.ending()}
      </section>`;
  }

  ending() {
    return html`
      ${problem_note([this.problem, this.refusal])}
      <button type="button" class="primary" ?disabled=${this.busy} @click=${this.finish}>Record corrective action</button>
      <who-signs .person=${this.person}></who-signs>`;
  }
}

customElements.define("corrective-form", CorrectiveForm);
