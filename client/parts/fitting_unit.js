/*
 * A choice of the units that fit a unit of the card: pressure in psi or kPa, temperature in °F or °C.
 */
import { html, nothing } from "../vendor/lit.js";
import { UNITS, convert } from "../rules/units.js";
import { number_problem, settled } from "./typed_number.js";

const SHOWN_DECIMALS = 4;

/** All units of the same kind as `unit`, that one first. */
export function fitting_units(unit) {
  return [unit, ...Object.keys(UNITS).filter((name) => name !== unit && UNITS[name].kind === UNITS[unit].kind)];
}

/**
 * The `unit_input` of a `number_input` with the id `id`: a choice, or the bare unit when no other one fits.
 * `of` says what has the unit, `unit` is that of the card, `chosen` the one now, `change(unit)` takes another.
 */
export function unit_choice({ id, of, unit, chosen, change }) {
  const units = fitting_units(unit);
  if (units.length === 1) return html`<span class="unit" id="${id}-unit">${unit}</span>`;
  return html`
    <select id="${id}-unit" aria-label="Unit of ${of}" @change=${(event) => change(event.target.value)}>
      ${units.map((name) => html`<option ?selected=${name === chosen}>${name}</option>`)}
    </select>`;
}

/** The `typed` value in the unit of the card, where the reading is taken in another one. */
export function in_card_unit(field, reading, typed) {
  if (reading.unit === field.unit || !typed || number_problem(typed)) return nothing;
  const value = convert(settled(typed), reading.unit, field.unit, SHOWN_DECIMALS);
  return html`<p class="quiet card-unit" role="status">${value} ${field.unit} on the card</p>`;
}
