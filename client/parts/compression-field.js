/*
 * A differential compression test, one cylinder after another: what it keeps, where the air is heard, how often it was
 * taken again. The reading through the master orifice comes first where it gives the limit.
 *
 * Usage: <compression-field .field=${field} .reading=${reading} .tools=${register} .trend=${"#/..."}
 *   @reading=${(event) => event.detail}></compression-field>
 */
import { html, live, nothing } from "../vendor/lit.js";
import { LEAKS, loss, orifice_for_bore } from "../rules/compression.js";
import { Problem } from "../rules/problems.js";
import { ratio } from "../rules/ratio.js";
import { in_unit } from "../rules/units.js";
import { cylinder_bars } from "./cylinder_bars.js";
import { field_frame, tell } from "./field_frame.js";
import { in_card_unit, unit_choice } from "./fitting_unit.js";
import { input_of, keep_inputs, value_of } from "./input_of.js";
import { MeasuredField } from "./measured_field.js";
import { judged, with_unit } from "./reading.js";
import { asked, problem_line } from "./rule_problem.js";
import { stops_said } from "./stop_lines.js";
import { settled } from "./typed_number.js";

const HEARD = {
  none: ["Nowhere", ""], exhaust: ["Exhaust pipe", "exhaust valve"], induction: ["Induction", "intake valve"],
  breather: ["Breather or filler", "piston rings"], other: ["Elsewhere", "say where in the note"],
};

class CompressionField extends MeasuredField {
  static properties = { current: { state: true } };

  constructor() {
    super();
    this.current = 0;
  }

  get by_orifice() {
    return this.field.compression.mode === "master_orifice";
  }

  /** The typed text as an exact pressure in the unit of the card, or null. */
  exact(typed) {
    return asked(() => in_unit(ratio(settled(typed ?? "")), this.reading.unit, this.field.unit))[0];
  }

  get limit() {
    const { limits } = this.field;
    return this.by_orifice ? this.exact(this.reading.inputs.master_orifice) : limits?.min ? ratio(limits.min) : null;
  }

  facts() {
    const { unit, compression: { supply, bore } } = this.field;
    return html`<p class="quiet">Supply ${supply} ${unit}.
      ${bore ? html`Bore ${bore} in: the tester needs an orifice of <strong>${orifice_for_bore(bore)} in</strong>,
        0.250 in long (AC 43.13-1B, change 1).` : nothing}</p>`;
  }

  unit_input(id) {
    const { field, reading } = this;
    return unit_choice({ id, of: "the gauge", unit: field.unit, chosen: reading.unit,
      change: (unit) => tell(this, with_unit(reading, unit, this.tools)) });
  }

  master() {
    if (!this.by_orifice) return nothing;
    const unit_input = this.unit_input(`${this.field.field}-master_orifice`);
    return html`
      ${input_of(this, "master_orifice", "First: the reading through the master orifice", { unit_input })}
      <p class="quiet">It is the least that a cylinder may keep. ${this.field.spread
        ? "" : `Source: ${this.field.source}`}</p>`;
  }

  cylinder() {
    const { field, current, reading } = this;
    const next = field.stations[current + 1];
    const unit_input = this.unit_input(`${field.field}-${current}`);
    return html`
      <div class="one-cylinder">
        <h3>${field.stations[current]} <span class="quiet">${current + 1} of ${field.stations.length}</span></h3>
        ${value_of(this, current, "Pressure that it keeps", { unit_input })}
        ${in_card_unit(field, reading, reading.values[current])}
        ${this.lost(reading.values[current], `${field.field}-${current}`)}
        <p class="line" id="${field.field}-heard-title">Where is the air heard?</p>
        <div class="options leaks" role="radiogroup" aria-labelledby="${field.field}-heard-title">
          ${LEAKS.map((place) => this.heard(place))}</div>
        ${input_of(this, `again_${current + 1}`, "How often was it taken again? Empty: never", { next: false })}
        ${next ? html`
          <button type="button" class="primary next" @click=${() => this.open(current + 1)}>Next: ${next}</button>`
          : nothing}
      </div>`;
  }

  lost(typed, id) {
    const { field } = this;
    const kept = this.exact(typed);
    const percent = kept && loss(ratio(field.compression.supply), kept);
    const above = percent?.startsWith("-") && this.typing.left(id);
    return html`
      <p class="derived" role="status"><span>Loss</span><output>${percent ? `${percent} %` : "–"}</output></p>
      ${above ? problem_line(new Problem("pressure_above_supply", { title: field.title, supply: field.compression.supply,
        unit: field.unit })) : nothing}`;
  }

  heard(place) {
    const name = `heard_${this.current + 1}`;
    const [words, part] = HEARD[place];
    return html`
      <label class="option">
        <input type="radio" name="${this.field.field}-${name}" .checked=${live(this.reading.inputs[name] === place)}
          @change=${() => keep_inputs(this, { [name]: place })}>
        <span><span class="words">${words}${part ? html`<small>${part}</small>` : nothing}</span></span>
      </label>`;
  }

  async open(index) {
    this.current = index;
    await this.updateComplete;
    this.querySelector(`#${this.field.field}-${index}`).focus();
  }

  whole() {
    const { field, reading } = this;
    const { spread, weakest } = judged(field, reading)?.derived ?? {};
    if (spread === undefined) return nothing;
    return html`
      <p class="derived" role="status"><span>Weakest<br>
        <span class="quiet">${field.stations[Number(weakest) - 1]}</span></span>
        <output>${reading.values[Number(weakest) - 1]} ${reading.unit}</output></p>
      <p class="derived" role="status"><span>Spread${field.spread ? html`<br><span class="quiet">at most ${field.spread}
        ${field.unit}</span>` : nothing}</span> <output>${spread} ${reading.unit}</output></p>`;
  }

  bars() {
    const { field, reading, current } = this;
    const cylinders = field.stations.map((name, index) =>
      ({ name, typed: reading.values[index], kept: this.exact(reading.values[index]) }));
    return cylinder_bars({ cylinders, supply: ratio(field.compression.supply), limit: this.limit, current,
      id: (index) => `${field.field}-${index}-pick`, pick: (index) => this.open(index) });
  }

  render() {
    const { unit, inputs: { master_orifice } } = this.reading;
    const { lines, verdict } = this.by_orifice
      ? stops_said(this, this.limit ? `at least ${settled(master_orifice)} ${unit}` : "") : stops_said(this);
    const inputs = [this.facts(), this.master(), this.bars(), this.cylinder(), this.whole(), lines];
    return field_frame(this, inputs, "Each cylinder:", verdict);
  }
}

customElements.define("compression-field", CompressionField);
