/*
 * Limits that depend on something else: a temperature, which cable it is. The input for it, and what then applies.
 * A host with a `typing` (TypingPlace) is told what is wrong only when the number is typed to its end.
 */
import { html, live, nothing } from "../vendor/lit.js";
import { Problem } from "../rules/problems.js";
import { number_input, tell } from "./field_frame.js";
import { unit_choice } from "./fitting_unit.js";
import { limits_in_force } from "./limits_in_force.js";
import { limit_words } from "./reading.js";
import { number_problem } from "./typed_number.js";

/** The input that `limits_by` of the field of `host` asks for, and the limits it gives. Nothing for other fields. */
export function limits_by_input(host) {
  const by = host.field.limits_by;
  if (!by) return nothing;
  const id = `${host.field.field}-at`;
  return html`
    <div class="limits-by">
      <label class="line" id="${id}-label" for=${by.unit === null ? nothing : id}>${by.title}</label>
      ${by.unit === null ? choice(host, by, id) : number(host, by, id)}
      ${in_force(host)}
    </div>`;
}

function change_of(host, name) {
  return (typed) => tell(host, { ...host.reading, inputs: { ...host.reading.inputs, [name]: typed } });
}

function choice(host, by, id) {
  const change = change_of(host, "at");
  return html`
    <div class="options" role="radiogroup" aria-labelledby="${id}-label">${by.rows.map(({ at }) => html`
      <label class="option">
        <input type="radio" name=${id} .checked=${live(host.reading.inputs.at === at)} @change=${() => change(at)}>
        <span>${at}</span>
      </label>`)}</div>`;
}

function number(host, by, id) {
  const { at = "", at_unit = by.unit } = host.reading.inputs;
  const unit_input = unit_choice({ id, of: by.title, unit: by.unit, chosen: at_unit,
    change: change_of(host, "at_unit") });
  return number_input({ id, label: `${id}-label`, value: at, unit_input, change: change_of(host, "at"), next: true });
}

function in_force(host) {
  const { field, reading } = host;
  const { at, at_unit = field.limits_by.unit } = reading.inputs;
  const limits = limits_in_force(field, reading);
  const awaited = !at || (field.limits_by.unit && number_problem(at));
  if (awaited || (limits instanceof Problem && !(host.typing?.left(`${field.field}-at`) ?? true))) {
    return html`<p class="in-force quiet">The limits follow from it.</p>`;
  }
  if (limits instanceof Problem) return html`<p class="problem" role="alert">${limits.sentence}</p>`;
  const words = limits.map((pair) => limit_words({ limits: pair, unit: field.unit }) ?? "no limits");
  const one = words.every((word) => word === words[0]);
  return html`
    <p class="in-force" role="status">At ${at}${at_unit ? ` ${at_unit}` : ""}:
      ${one ? html`<strong>${words[0]}</strong>` : words.map((word, index) => html`
        <span class="whole">${field.stations[index]}: <strong>${word}</strong></span>`)}</p>`;
}
