/*
 * A torque, as a sequence that a person follows with the wrench in the hand: drag, the wrench, what to set it to, what
 * was seen on it, what reached the fastener. A field without the member `torque` asks what was seen, and an extension.
 *
 * Usage: <torque-field .field=${field} .reading=${reading} .tools=${register} @reading=${told}></torque-field>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { field_frame, tell } from "./field_frame.js";
import { judged } from "./reading.js";
import { sequence_of, stops_for, tolerance_at } from "./torque_sequence.js";
import { drag_in } from "./torque_inputs.js";
import { advice_lines, drag_step, seen, setting_step } from "./torque_steps.js";
import { torque_window } from "./torque_window.js";
import { OUTCOMES, verdict_words, whole } from "./torque_words.js";
import { with_wrench } from "./torque_wrench.js";
import { extension, wrench_step } from "./torque_wrench_step.js";
import { worded_host } from "./worded_host.js";

class TorqueField extends LitElement {
  static properties = { field: { attribute: false }, reading: { attribute: false }, tools: { attribute: false },
    asked_unit: { state: true } };

  createRenderRoot() {
    return this;
  }

  /* This field; every change of its reading takes with it what the register knows of the wrench. */
  host() {
    const { field, reading, tools = [] } = this;
    const dispatchEvent = ({ detail }) => tell(this, with_wrench(reading, detail, tools));
    const take_unit = (unit) => this.take_unit(unit);
    const answer_unit = (drag) => this.answer_unit(drag);
    const asked_unit = this.asked_unit && drag_in(reading, this.asked_unit) !== null ? this.asked_unit : null;
    return { field, reading, tools, dispatchEvent, asked_unit, take_unit, answer_unit };
  }

  /* Another unit waits for an answer while a drag is typed: nothing changes until then. */
  take_unit(unit) {
    this.asked_unit = drag_in(this.reading, unit) === null ? null : unit;
    if (!this.asked_unit) tell(this.host(), { ...this.reading, unit });
  }

  answer_unit(drag) {
    const { reading, asked_unit: unit } = this;
    this.asked_unit = null;
    tell(this.host(), { ...reading, unit, inputs: { ...reading.inputs, drag } });
  }

  applied({ reading }, told) {
    const applied = told?.derived.applied;
    return applied ? html`
      <p class="derived" role="status"><span>Applied at the fastener</span>
        <output>${applied} ${reading.unit}</output></p>` : nothing;
  }

  /* What the window says of the torque, with the tolerance of the wrench as a band. */
  verdict({ field, reading }, found, told) {
    const words = told && found.wanted ? verdict_words(told, found.wanted, reading.unit) : "";
    if (!words) return html`<p class="judged" role="status"></p>`;
    const at = told.derived.applied ?? told.values[0];
    const reach = tolerance_at(at, reading);
    return html`
      ${torque_window(found.wanted, at, reach)}
      <p class="judged ${told.within === false ? "out" : "in"}" role="status">${words}</p>
      ${told.derived.outcome ? html`
        <p class="guard">${OUTCOMES[told.derived.outcome]}
          <span class="quiet">Tolerance here ${whole(`± ${reach} ${reading.unit}.`)}</span></p>` : nothing}
      ${advice_lines(stops_for(told.values[0], reading).map((code) => ({ end: "seen", code })))}`;
  }

  sequence(host, told) {
    const { field, reading } = host;
    const found = sequence_of(field, reading);
    const steps = html`
      <ol class="steps">
        ${field.torque.drag ? html`<li><h3>Friction drag</h3>${drag_step(host)}</li>` : nothing}
        <li><h3>The wrench</h3>${wrench_step(host)}</li>
        <li><h3>Set the wrench to</h3>${setting_step(host, found)}</li>
        <li><h3 id="${field.field}-0-label">What you saw on the wrench</h3>
          ${seen(host, `${field.field}-title ${field.field}-0-label`)}</li>
      </ol>`;
    const of = field.torque.drag ? "Without drag:" : "At the fastener:";
    return field_frame(worded_host(host, { tool: null }), [steps, this.applied(host, told)], of,
      this.verdict(host, found, told));
  }

  render() {
    const host = this.host();
    const told = host.reading.values[0] ? judged(host.field, host.reading) : null;
    if (host.field.torque) return this.sequence(host, told);
    return field_frame(host, [seen(host, `${host.field.field}-title`), extension(host), this.applied(host, told)],
      "At the fastener:");
  }
}

customElements.define("torque-field", TorqueField);
