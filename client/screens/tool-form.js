/*
 * Add a tool or change one: what it is, what it is used for and only what that needs, until when it is calibrated.
 *
 * Usage:
 *   <tool-form .tool=${of_the_register} .busy=${false} .refusal=${"..."} @keep=${(event) => event.detail} @leave=${() => {}}>
 *   </tool-form>        a new tool has an empty serial number; detail of keep = the tool as the shop keeps it
 */
import { LitElement, html, live, nothing } from "../vendor/lit.js";
import { number_input } from "../parts/field_frame.js";
import { problem_note } from "../parts/page_head.js";
import { day_of } from "../parts/shop_words.js";
import { USES, calibration_advice } from "../parts/tool_words.js";
import { UNITS } from "../rules/units.js";
import { NAMES, draft_of, finished_tool } from "./tool_draft.js";
import "./tool-tables.js";

const units_of = (kind) => Object.keys(UNITS).filter((unit) => !kind || UNITS[unit].kind === kind);

class ToolForm extends LitElement {
  static properties = {
    tool: { attribute: false }, busy: { attribute: false }, refusal: { attribute: false },
    draft: { state: true }, problems: { state: true },
  };

  createRenderRoot() {
    return this;
  }

  willUpdate(changed) {
    if (changed.has("tool")) this.draft = draft_of(this.tool);
  }

  async firstUpdated() {
    this.querySelector("form").scrollIntoView({ block: "start" });
    this.querySelector(this.tool.serial ? "#until" : "#serial").focus({ preventScroll: Boolean(this.tool.serial) });
  }

  change(part) {
    this.problems = [];
    this.draft = { ...this.draft, ...part };
  }

  /** Change what is known of the tool in the use it has now. */
  know(part) {
    const { use } = this.draft;
    this.change({ [use]: { ...this.draft[use], ...part } });
  }

  submit(event) {
    event.preventDefault();
    const { tool, problems } = finished_tool(this.draft);
    const { tensiometer } = this.draft;
    const columns = tensiometer.columns.map((column) => ({ ...column, whole: true }));
    this.change({ tensiometer: { ...tensiometer, columns } });
    this.problems = problems;
    if (!problems.length) this.dispatchEvent(new CustomEvent("keep", { detail: tool }));
  }

  units(name, kind, words, id) {
    const chosen = this.draft[this.draft.use][name];
    return html`
      <select id="${id}-unit" aria-label=${words} @change=${(event) => this.know({ [name]: event.target.value })}>
        ${units_of(kind).map((unit) => html`<option value=${unit} .selected=${unit === chosen}>${unit}</option>`)}</select>`;
  }

  number(name, { unit = "", unit_input, more = nothing }) {
    const id = name.replaceAll("_", "-");
    return html`
      <label class="line" id="${id}-label" for=${id}>${NAMES[name]}</label>
      ${number_input({ id, label: `${id}-label`, value: this.draft[this.draft.use][name], unit, unit_input, next: true,
        change: (typed) => this.know({ [name]: typed }) })}
      ${more}`;
  }

  torque_wrench() {
    const { unit } = this.draft.torque_wrench;
    return html`
      ${this.number("full_scale", { unit_input: this.units("unit", "torque", "Unit of the wrench", "full-scale") })}
      ${this.number("graduation", { unit })}
      ${this.number("tolerance_percent", { unit: "% of the reading" })}
      ${this.number("length", { unit_input: this.units("length_unit", "length", "Unit of the length", "length"),
        more: html`<p class="quiet">Only for work with an extension. What is left empty the mechanic is asked for.</p>` })}`;
  }

  gauge() {
    const { unit } = this.draft.gauge;
    return html`
      ${this.number("tolerance", { unit_input: this.units("unit", null, "Unit of the gauge", "tolerance") })}
      ${this.number("graduation", { unit })}
      <p class="quiet">The tolerance as its calibration paper gives it, plus or minus, in its unit.</p>`;
  }

  tensiometer() {
    const { columns, unit } = this.draft.tensiometer;
    return html`
      <label class="line" for="tension-unit">Tension in</label>
      ${this.units("unit", "force", "Tension in", "tension")}
      <tool-tables .columns=${columns} .unit=${unit} @columns=${(event) => this.know({ columns: event.detail })}></tool-tables>`;
  }

  used_as() {
    const { use } = this.draft;
    return html`
      <fieldset class="field"><legend>Used as</legend>
        <div class="options">${USES.map(([name, words]) => html`
          <label class="option"><input type="radio" name="use" value=${name} .checked=${live(use === name)}
            @change=${() => this.change({ use: name })}><span>${words}</span></label>`)}</div>
        ${use ? this[use]() : nothing}
      </fieldset>`;
  }

  calibration() {
    const { use, until } = this.draft;
    const advice = calibration_advice(use, until, day_of(new Date()));
    return html`
      <fieldset class="field"><legend>Calibration</legend>
        <label class="line" for="until">Calibrated until</label>
        <input id="until" name="until" type="date" .value=${live(until)} @input=${(event) => this.change({ until: event.target.value })}>
        <p class="quiet">The last day counts. Leave it empty for a tool without a date.</p>
        <div role="status">${advice ? html`<p class="asks">${advice}</p>` : nothing}</div>
      </fieldset>`;
  }

  render() {
    const { serial } = this.tool;
    return html`
      <form class="found kept" @submit=${this.submit}><h2>${serial ? `Change ${serial}` : "Add a tool"}</h2>
        <label class="line" for="serial">Serial number</label>
        <input id="serial" name="serial" autocomplete="off" autocapitalize="characters" spellcheck="false" maxlength="120"
          .value=${live(this.draft.serial)} ?readonly=${Boolean(serial)} required @input=${(event) => this.change({ serial: event.target.value })}>
        <label class="line" for="tool">What it is</label>
        <input id="tool" name="tool" autocomplete="off" maxlength="120" required
          .value=${live(this.draft.name)} @input=${(event) => this.change({ name: event.target.value })}>
        ${this.used_as()}
        ${this.calibration()}
        ${problem_note([...(this.problems ?? []), this.refusal])}
        <button class="primary" ?disabled=${this.busy}>Keep this tool</button>
        <div class="ways"><button type="button" @click=${() => this.dispatchEvent(new CustomEvent("leave"))}>
          ${serial ? "Leave it as it was" : "Do not add it"}</button></div>
      </form>`;
  }
}

customElements.define("tool-form", ToolForm);
