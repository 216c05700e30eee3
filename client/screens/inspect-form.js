/*
 * One item while it is inspected: caution before the step, what to do, what to look for, fields, photo, note,
 * and the verdict at the thumb. Serves an ordinary result and the settlement of a dispute.
 *
 * Usage:
 *   <inspect-form .item=${template_item} .draft=${draft} .serials=${{ "dial indicator": "DI-7" }} .tools=${register} .past=${null} .busy=${false}
 *     .refusal=${"not saved: ..."} ?settles=${true} .person=${session.person} .asking=${null | "Sign: fail"} .tone=${"fail"}
 *     .before_camera=${async () => {}} @draft=${(event) => event.detail} @record=${(event) => event.detail}
 *     @given=${...} @cancelled=${...}></inspect-form>      detail of record = the body of a result
 * While `asking` is set, the signing code is asked for in place of the verdict: see parts/code-field.js.
 */
import { LitElement, html, live, nothing } from "../vendor/lit.js";
import { fields } from "../parts/fields.js";
import { problem_note } from "../parts/page_head.js";
import { step_lines } from "../parts/step_lines.js";
import { result_body, verdict_problems } from "./result_body.js";
import "../parts/code-field.js";
import "../parts/photo-strip.js";
import "../parts/verdict-bar.js";
import "../parts/who-signs.js";

const PHOTO_RULE = {
  none: "",
  optional: "",
  on_fail: "Needed when the item fails.",
  required: "Needed before the result.",
};

class InspectForm extends LitElement {
  static properties = {
    item: { attribute: false },
    draft: { attribute: false },
    serials: { attribute: false },
    tools: { attribute: false },
    past: { attribute: false },
    person: { attribute: false },
    asking: { attribute: false },
    tone: { attribute: false },
    busy: { attribute: false },
    refusal: { attribute: false },
    before_camera: { attribute: false },
    settles: { type: Boolean },
    problems: { state: true },
  };

  constructor() {
    super();
    this.problems = [];
  }

  createRenderRoot() {
    return this;
  }

  change(part) {
    this.problems = [];
    this.dispatchEvent(new CustomEvent("draft", { detail: { ...this.draft, ...part } }));
  }

  /* A fail or "not applicable" first opens its own questions; the second tap records. */
  tap(verdict) {
    const { item, draft } = this;
    if (verdict !== "pass" && draft.opened !== verdict) {
      this.change({ opened: verdict });
      this.focus_on(verdict === "fail" ? "found-what" : "note");
      return;
    }
    this.problems = verdict_problems(item, draft, verdict, this.serials, this.tools);
    if (this.problems.length) return;
    const detail = result_body(item, draft, verdict, this.tools);
    this.dispatchEvent(new CustomEvent("record", { detail }));
  }

  /* The question appears a frame later: whoever types elsewhere by then is left alone. */
  async focus_on(id) {
    const before = document.activeElement;
    await new Promise(requestAnimationFrame);
    const now = document.activeElement;
    if (now !== before && this.contains(now) && now.matches("input, textarea, select")) return;
    const input = document.getElementById(id);
    input?.focus({ preventScroll: true });
    input?.scrollIntoView({ block: "center" });
  }

  lines(id, label, name) {
    return html`
      <label class="line" for=${id}>${label}</label>
      <textarea id=${id} rows="2" maxlength="4000" .value=${live(this.draft[name])}
        @input=${(event) => this.change({ [name]: event.target.value })}></textarea>`;
  }

  photo() {
    const { photo } = this.item;
    if (photo.rule === "none") return nothing;
    return html`
      <section><h2>Photo <span class="quiet">${PHOTO_RULE[photo.rule]}</span></h2>
        <photo-strip .photos=${this.draft.photos} .of=${photo.of} .before_camera=${this.before_camera}
          @photos=${(event) => this.change({ photos: event.detail })}></photo-strip></section>`;
  }

  found() {
    if (this.draft.opened !== "fail") return nothing;
    return html`
      <section class="found"><h2>Discrepancy</h2>
        ${this.lines("found-what", "What did you find?", "what")}
        <label class="line" for="found-where">Where exactly?</label>
        <textarea id="found-where" rows="1" maxlength="400" enterkeyhint="done" .value=${live(this.draft.where)}
          @input=${(event) => this.change({ where: event.target.value.replace(/\s*\n/g, " ") })}></textarea>
        </section>`;
  }

  render() {
    const { item, draft } = this;
    const change = (field, reading) => this.change({ readings: { ...draft.readings, [field]: reading } });
    const excused = draft.opened === "not_applicable";
    return html`
      ${step_lines(item)}
      ${item.fields.length ? html`<section><h2>Record</h2>
        ${fields(item, draft.readings, this.serials, this.tools, change, this.past)}</section>` : nothing}
      ${this.photo()} ${this.found()}
      <section class=${excused ? "excused" : ""}>
        ${this.lines("note", excused ? "Why is this item not applicable?" : "Note: anything worth knowing later", "note")}</section>
      <div class="thumb">${this.asking ? this.signing() : this.verdict()}</div>`;
  }

  signing() {
    return html`
      <code-field cancel .person=${this.person} .words=${this.asking} .tone=${this.tone} .busy=${this.busy} .refusal=${this.refusal}></code-field>`;
  }

  verdict() {
    const { item, draft } = this;
    return html`
      ${problem_note([...this.problems, this.refusal])}
      <verdict-bar .not_applicable=${item.not_applicable} .opened=${draft.opened} ?settles=${this.settles} ?busy=${this.busy}
        @verdict=${(event) => this.tap(event.detail)}></verdict-bar>
      <who-signs .person=${this.person} ?fresh=${this.settles}></who-signs>`;
  }
}

customElements.define("inspect-form", InspectForm);
