/*
 * A recorded reading in words, for whoever reads the card later. Pure.
 */
import { worded_field } from "./limits_in_force.js";
import { calibration_words, limit_words } from "./reading.js";

const DERIVED = {
  applied: "Applied at the fastener", window_min: "Window, low end", window_max: "Window, high end", total: "Total indicator reading",
  eccentricity: "Eccentricity", high_spot: "High spot at", residual: "Left over by the shape", shape: "Shape",
  spread: "Largest difference", least: "Least", most: "Most", step: "Largest step", outcome: "With the tool’s tolerance",
  difference: "Difference of the sides", hours: "Over", per_hour: "For each hour", result: "By the instrument’s table",
  weakest: "Weakest", correction_mass: "Correction weight", correction_clock: "Correction at", influence: "Influence",
  influence_clock: "Influence at",
};
const INPUTS = {
  wrench_length: "Wrench length", extension: "Extension", angle: "Angle of the extension", drag: "Friction drag torque",
  full_scale: "Wrench up to", graduation: "Marked every", tolerance: "Tolerance of the tool",
  tolerance_percent: "Tolerance of the tool", back: "Dial back at the first place", base: "On both",
  master_orifice: "Master orifice", hours_then: "Hour-meter last time", hours_now: "Hour-meter now",
  column: "Column of the table", first_ips: "First run", first_clock: "First run at", trial_mass: "Trial weight",
  trial_clock: "Trial weight at", second_ips: "Second run", second_clock: "Second run at",
};
const UNITS = {
  high_spot: "°", angle: "°", tolerance_percent: "%", hours: "h", hours_then: "h", hours_now: "h", correction_mass: "g",
  trial_mass: "g", correction_clock: "o’clock", influence_clock: "o’clock", first_clock: "o’clock", trial_clock: "o’clock",
  second_clock: "o’clock", influence: "ips per g",
};
const SHAPES = { round: "round, no run-out", once_per_turn: "bent or off centre, once a turn",
  other: "no bent shaft: out of round, dirt or a bad reading" };
const OUTCOMES = {
  pass: "clear of the limits", conditional_pass: "inside, but nearer to a limit than the tool can tell",
  conditional_fail: "outside, but nearer to a limit than the tool can tell", fail: "clearly outside",
  tool_not_good_enough: "the tool is too coarse for these limits",
};
export const LEAK_WORDS = { none: "no leak heard", exhaust: "heard at the exhaust: exhaust valve",
  induction: "heard at the induction: intake valve", breather: "heard at the breather: rings", other: "heard elsewhere" };
const FOLDED = ["at_unit", "drag_at", "length_unit", "confirmed", "new_part", "dial_low", "result_low", "dial_high",
  "result_high", "at"];

/** A reading recorded on `day` in words: {values: [{station, text}], rest: [[name, text]]}, units and tools named. */
export function reading_words(field, reading, day) {
  const unit = reading.unit ? ` ${reading.unit}` : "";
  const worded = field.means ? (text) => `${text}: ${field.means[field.options.indexOf(text)] ?? ""}` : (text) => text;
  const values = reading.values.map((text, index) => ({
    station: field.stations[index] ?? "",
    text: text === null ? "not taken" : worded(text) + (field.stations.length || field.kind === "look_up" ? "" : unit),
  }));
  return { values, rest: [...allowed(field, reading), ...inputs(field, reading), ...derived(field, reading),
    ...tools(field, reading, day)] };
}

/* Whoever countersigns sees the limits beside the value. */
function allowed(field, reading) {
  if (field.limits_at?.length) {
    const each = field.limits_at.map((limits, index) => [field.stations[index], limit_words({ limits, unit: field.unit })]);
    return [["Allowed:", each.map(([station, words]) => `${station} ${words ?? "anything"}`).join(", ")]];
  }
  const limit_unit = field.kind === "rate" ? `${field.unit} an hour` : field.unit;
  const words = limit_words({ ...worded_field(field, reading), limit_unit });
  return words ? [["Allowed:", words]] : [];
}

function inputs(field, { inputs: typed, unit }) {
  const named = in_order(typed, INPUTS).filter(([name]) => !FOLDED.includes(name) && !/^(heard|again)_/.test(name));
  return [
    ...typed.at ? [[`${field.limits_by?.title ?? "At"}:`, [typed.at, typed.at_unit ?? field.limits_by?.unit].filter(Boolean).join(" ")]] : [],
    ...named.map(([name, text]) => [`${INPUTS[name] ?? name}:`, with_unit(name, text, LENGTHS.includes(name) ? typed.length_unit : unit)]),
    ...typed.drag_at === "wrench" ? [["Drag:", "read through the extension"]] : [],
    ...typed.dial_low ? [["Rows of its table:", rows(typed, unit)]] : [],
    ...field.stations.flatMap((station, index) => cylinder(station, typed, index + 1)),
    ...typed.new_part === "yes" ? [["Part:", "new at this inspection"]] : [],
    ...typed.confirmed === "yes" ? [["Far from the limit:", "the reader said that it was read so"]] : [],
  ];
}

const LENGTHS = ["wrench_length", "extension"];
const BARE = ["column", "step_at", "least_at", "most_at", "weakest"];

function with_unit(name, text, unit) {
  if (BARE.includes(name)) return text;
  return UNITS[name] === "°" ? `${text}°` : [text, UNITS[name] ?? unit].filter(Boolean).join(" ");
}

/* As the hands go, not by letters: what `names` does not list comes first. */
function in_order(told, names) {
  const order = Object.keys(names);
  return Object.entries(told).sort(([one], [other]) => order.indexOf(one) - order.indexOf(other));
}

function rows({ dial_low, result_low, dial_high, result_high }, unit) {
  const low = `${dial_low} is ${result_low} ${unit}`;
  return dial_low === dial_high ? low : `${low}, ${dial_high} is ${result_high} ${unit}`;
}

function cylinder(station, typed, number) {
  const told = [LEAK_WORDS[typed[`heard_${number}`]], typed[`again_${number}`] && `tested again ${typed[`again_${number}`]} times`];
  const words = told.filter(Boolean).join(", ");
  return words ? [[`${station}:`, words]] : [];
}

function derived(field, { derived: told, unit }) {
  const places = { least: told.least_at, most: told.most_at };
  return in_order(told, DERIVED).filter(([name]) => !/_at$/.test(name)).map(([name, text]) => {
    const numbered = /^(loss|drop)_(\d+)$/.exec(name);
    if (numbered) return [`${field.stations[numbered[2] - 1]}:`, numbered[1] === "loss" ? `loses ${text} %` : `falls by ${text} ${unit}`];
    if (name === "shape") return ["Shape:", SHAPES[text] ?? text];
    if (name === "outcome") return [`${DERIVED.outcome}:`, OUTCOMES[text] ?? text];
    if (name === "weakest") return ["Weakest:", field.stations[text - 1] ?? text];
    if (name === "step") return ["Largest step:", `${text} ${unit}, ${field.stations[told.step_at - 1]} to ${field.stations[told.step_at]}`];
    const at = places[name] ? ` at ${field.stations[places[name] - 1] ?? places[name]}` : "";
    return [`${DERIVED[name] ?? name}:`, with_unit(name, text, unit) + at];
  });
}

function tools(field, reading, day) {
  return reading.tools.map((tool) => [`With ${field.tool ?? "tool"} no.`, `${tool.serial}, ${calibration_words(tool, day)}`]);
}
