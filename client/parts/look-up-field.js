/*
 * A bare dial reading that the instrument's own table turns into a tension. The instrument is chosen first, since a
 * table belongs to one serial number; then which cable and riser; then the reading. Both rows used are shown and kept.
 *
 * Usage: <look-up-field .field=${field} .reading=${reading} .tools=${register}
 *   @reading=${(event) => event.detail}></look-up-field>
 */
import { html, live, nothing } from "../vendor/lit.js";
import { Problem } from "../rules/problems.js";
import { row_inputs } from "../rules/tool_facts.js";
import { field_frame, tell } from "./field_frame.js";
import { value_of } from "./input_of.js";
import { limits_by_input } from "./limits_by.js";
import { worded_field } from "./limits_in_force.js";
import { MeasuredField } from "./measured_field.js";
import { calibration_words, judged, limit_words, tool_of } from "./reading.js";
import { asked, problem_line } from "./rule_problem.js";
import { stops_said } from "./stop_lines.js";
import { number_problem, settled } from "./typed_number.js";
import { worded_host } from "./worded_host.js";

const ROWS = ["dial_low", "result_low", "dial_high", "result_high"];
const FROM_TABLE = ["column", ...ROWS];

class LookUpField extends MeasuredField {
  get instruments() {
    return (this.tools ?? []).filter(({ facts }) => facts?.use === "tensiometer");
  }

  get chosen() {
    return this.instruments.find(({ serial }) => serial === this.reading.tools[0]) ?? null;
  }

  /** The column that is chosen, or the only one there is; "" while there is a choice to make. */
  column_of(tool) {
    const columns = tool.facts.tables.map(({ column }) => column);
    const { column } = this.reading.inputs;
    return columns.includes(column) ? column : columns.length === 1 ? columns[0] : "";
  }

  /** Tell the page of `change`d members of the reading, with the rows of the table that then stand around the dial. */
  told(change, tool, column) {
    const reading = { ...this.reading, ...change };
    const kept = Object.entries(reading.inputs).filter(([name]) => !FROM_TABLE.includes(name));
    const [dial] = reading.values;
    const rows = tool && column ? { column } : {};
    const [found] = rows.column && dial && !number_problem(dial)
      ? asked(() => row_inputs(tool.facts, column, settled(dial))) : [null];
    const inputs = { ...Object.fromEntries(kept), ...rows, ...found };
    tell(this, { ...reading, unit: tool?.facts.unit ?? reading.unit, inputs });
  }

  take_tool(tool) {
    const columns = tool.facts.tables;
    this.told({ tools: [tool.serial] }, tool, columns.length === 1 ? columns[0].column : "");
  }

  take_column(column) {
    this.told({}, this.chosen, column);
  }

  take_dial(typed) {
    const tool = this.chosen;
    this.told({ values: [typed] }, tool, tool ? this.column_of(tool) : "");
  }

  option(name, words, checked, take) {
    return html`
      <label class="option">
        <input type="radio" name="${this.field.field}-${name}" .checked=${live(checked)} @change=${take}>
        <span><span class="words">${words}</span></span>
      </label>`;
  }

  instrument() {
    const { field, reading } = this;
    const day = new Date().toISOString().slice(0, 10);
    const words = ({ serial, name }) => html`<strong>${serial}</strong>
      <small>${name}, ${calibration_words(tool_of(serial, this.tools), day)}</small>`;
    const stray = reading.tools[0] && !this.chosen;
    const past = this.chosen?.calibrated_until && this.chosen.calibrated_until < day;
    return html`
      <p class="line" id="${field.field}-tool">First: which ${field.tool ?? "instrument"}?</p>
      <div class="options one-column" role="radiogroup" aria-labelledby="${field.field}-tool">
        ${this.instruments.map((tool) =>
          this.option("tool", words(tool), tool === this.chosen, () => this.take_tool(tool)))}
      </div>
      ${past ? html`<p class="judged out" role="status">${reading.tools[0]}:
        ${calibration_words(tool_of(reading.tools[0], this.tools), day)}.</p>` : nothing}
      ${stray ? html`<p class="quiet">${reading.tools[0]} has no table in the shop’s register.</p>` : nothing}
      ${this.instruments.length ? nothing : html`<p class="problem">No instrument in the shop’s register has a table of
        its own. Ask the shop’s admin to type it in, from the card that came with the instrument.</p>`}`;
  }

  columns() {
    const tool = this.chosen;
    if (!tool) return nothing;
    const id = `${this.field.field}-column`;
    return html`
      <p class="line" id=${id}>Which cable and riser?</p>
      <div class="options" role="radiogroup" aria-labelledby=${id}>${tool.facts.tables.map(({ column }) =>
        this.option("column", column, column === this.column_of(tool), () => this.take_column(column)))}</div>`;
  }

  /** Why the dial reading gives no tension, once it is typed to its end. */
  refused() {
    const tool = this.chosen;
    const column = tool && this.column_of(tool);
    const [dial] = this.reading.values;
    if (!dial || number_problem(dial) || !this.typing.left()) return nothing;
    if (tool && !column) return html`<p class="problem" role="alert">Choose above which cable and riser it is.</p>`;
    if (!column) return problem_line(new Problem("table_row_missing", { title: this.field.title }));
    return problem_line(asked(() => row_inputs(tool.facts, column, settled(dial)))[1]);
  }

  result() {
    const { field, reading } = this;
    const { result } = judged(field, reading)?.derived ?? {};
    const [dial_low, result_low, dial_high, result_high] = ROWS.map((name) => reading.inputs[name]);
    const rows = dial_low === dial_high ? [[dial_low, result_low]] : [[dial_low, result_low], [dial_high, result_high]];
    return html`
      <p class="derived" role="status"><span>By the table of ${reading.tools[0] || "the instrument"}</span>
        <output>${result ? `${result} ${reading.unit}` : "–"}</output></p>
      ${result ? html`
        <table class="rows-used">
          <caption>${rows.length === 1 ? "The row used" : "Straight between these two rows"}</caption>
          <tr><th scope="col">Dial</th><th scope="col">${reading.unit}</th></tr>
          ${rows.map(([dial, pull]) => html`<tr><td>${dial}</td><td>${pull}</td></tr>`)}
        </table>` : nothing}`;
  }

  render() {
    const { field, reading } = this;
    const allowed = field.limits_by ? limit_words(worded_field(field, reading)) ?? "" : undefined;
    const { lines, verdict } = stops_said(this, allowed);
    return field_frame(worded_host(this, { tool: null }), [
      this.instrument(), this.columns(), limits_by_input(this),
      value_of(this, 0, "Dial reading", { unit: "", change: (typed) => this.take_dial(typed), next: false }),
      this.refused(), this.result(), lines,
    ], "Tension:", verdict);
  }
}

customElements.define("look-up-field", LookUpField);
