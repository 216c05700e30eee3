/*
 * The points of a trend: what the cards of one aircraft say, card after card, about one reading.
 *
 * A past card counts when it was issued for the same aircraft from a revision of the same card template, and the hours
 * of the airframe were read then. Only what stands in the fold of its item counts.
 * Twin of server/witnessmark/rules/trend_series.py, held equal by tests/vectors/trend_series.json.
 */
import { fold_item } from "./item_state.js";
import { limits_of } from "./limits.js";
import { read_number } from "./number.js";
import { Problem } from "./problems.js";
import { compare, ratio, show } from "./ratio.js";
import { trend_values } from "./readings.js";
import { projection } from "./trend.js";
import { in_unit } from "./units.js";

const SAID = ["result", "settlement"];
const STANDS = ["passed", "failed", "not_applicable"];
// Every pair of points is looked at: 200 are 5,000 h at one card every 25 h.
const NEWEST = 200;
const LIMIT_PLACES = 6;

/** The series of every field of `template` with `trend`, in walk order; see `field_trends`. */
export function trends(card, template, past) {
  return template.zones.flatMap((zone) => zone.items).flatMap((item) => item.fields
    .filter((field) => field.trend).flatMap((field) => field_trends(card, template, item, field, past)));
}

/**
 * One series for each station of `field` (of `item` of `template`) that has a point, or one for the whole field.
 *
 * `card` is as in the API; `past` a list of {card, template, entries: [{id, payload}]} in any order, `card` itself among
 * them: whatever is of another aircraft or template or issued later does not count. Returns [{item, field, title, unit,
 * station, limits: {min, max} of texts or null, points: [{at, value, new_part, card: number}] by hours, projection: see
 * `trend.projection`}].
 */
export function field_trends(card, template, item, field, past) {
  const found = new Map();
  const counted = past.filter((one) => counts(card, template, one));
  for (const one of counted.toSorted((a, b) => order(a.card, b.card))) add_points(found, one, item, field);
  return ["", ...field.stations].filter((station) => found.has(station))
    .map((station) => series(item, field, station, found.get(station)));
}

function counts(card, template, one) {
  const hours = one.card.times.airframe ?? null;
  return one.card.aircraft.registration === card.aircraft.registration
    && one.card.aircraft.serial_number === card.aircraft.serial_number && one.template.card === template.card
    && order(one.card, card) <= 0 && hours !== null && hours.unit === "h";
}

/* WC-9999 comes before WC-10000. */
function order({ number: a }, { number: b }) {
  if (a.length !== b.length) return a.length - b.length;
  return a < b ? -1 : a > b ? 1 : 0;
}

function add_points(found, one, item, field) {
  const [then, then_field] = same_field(one.template, item.item, field);
  const reading = then && standing_reading(then, one.entries, field.field);
  if (!reading) return;
  const [at, number] = [read_number(one.card.times.airframe.value), one.card.number];
  const new_part = reading.inputs.new_part === "yes";
  // A later revision may ask for another unit: the values of its past are turned into it.
  for (const { station, value } of trend_values({ ...then_field, unit: field.unit }, reading)) {
    const told = { point: { at, value, new_part, card: number }, reading };
    found.set(station, [...found.get(station) ?? [], told]);
  }
}

function same_field(template, name, field) {
  for (const item of template.zones.flatMap((zone) => zone.items)) {
    const other = item.item === name && item.fields.find((one) => one.field === field.field && one.kind === field.kind);
    if (other) return [item, other];
  }
  return [null, null];
}

function standing_reading(item, entries, name) {
  const own = entries.filter((entry) => entry.payload.item === item.item);
  const state = fold_item(item, own);
  const known = new Map(own.map(({ id, payload }) => [id, payload]));
  const standing = state.heads.map((id) => known.get(id))
    .filter((payload) => SAID.includes(payload.kind) && STANDS.includes(state.status));
  // A field may be called "constructor": only what the entry itself holds counts.
  return standing.length && Object.hasOwn(standing[0].body.readings, name) ? standing[0].body.readings[name] : null;
}

function series(item, field, station, told) {
  const ordered = told.toSorted((a, b) => compare(ratio(a.point.at), ratio(b.point.at))).slice(-NEWEST);
  const points = ordered.map(({ point }) => point);
  const place = station ? field.stations.indexOf(station) : 0;
  const limits = limits_at(field, ordered.at(-1).reading, place);
  return { item: item.item, field: field.field, title: field.title, unit: unit_of(field),
    station, limits, points,
    projection: projection(points, limits.min, limits.max) };
}

function unit_of(field) {
  return field.kind === "rate" ? `${field.unit} per h` : field.unit;
}

/* The limits of the newest reading at this place, as texts in the unit of the field. */
function limits_at(field, reading, place) {
  if (field.kind === "compression" && field.compression.mode === "master_orifice") {
    return { min: master_orifice(field, reading), max: null };
  }
  if (!field.limits_by) {
    const pair = field.limits_at?.length ? field.limits_at[place] : field.limits;
    return { min: pair?.min ?? null, max: pair?.max ?? null };
  }
  const pair = unless_problem(() => limits_of(field, reading)[place]);
  return { min: text(pair?.min ?? null), max: text(pair?.max ?? null) };
}

function master_orifice(field, reading) {
  return unless_problem(() => text(in_unit(ratio(reading.inputs.master_orifice), reading.unit, field.unit)));
}

function unless_problem(work) {
  try {
    return work();
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
    return null;
  }
}

function text(value) {
  return value === null ? null : read_number(show(value, LIMIT_PLACES));
}
