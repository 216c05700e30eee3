/*
 * The way from the card's torque to the wrench in the hand: drag on top, then the extension. Pure; all arithmetic is in
 * rules/torque.
 */
import { uncertainty } from "../rules/guard.js";
import { told_tolerance } from "../rules/judging.js";
import { limits_of } from "../rules/limits.js";
import { read_number } from "../rules/number.js";
import { ratio, show } from "../rules/ratio.js";
import { drag_at_fastener, setting_range, window, wrench_advice, wrench_setting } from "../rules/torque.js";
import { in_unit } from "../rules/units.js";
import { asked } from "./rule_problem.js";
import { number_problem, settled } from "./typed_number.js";

const NUMBERS = ["drag", "wrench_length", "extension", "angle", "full_scale", "graduation", "tolerance_percent"];
const ENDS = ["min", "max"];

/**
 * What the person has to know next, all torques as texts in the unit of `reading`:
 * {waits, problem, card, drag, wanted, setting, advice, working, lever}. `card`, `wanted` (at the fastener, drag on
 * top) and `setting` (on the wrench) are {min, max} or null; `advice` is [{end: "low", "high" or "all", code}],
 * `working` one line of figures for each end that goes through the `lever`, {length, extension, angle} or null.
 * `waits` names what is awaited before there is a setting: "limits", "number", "drag", "wrench_length", "extension", "drag_at" or
 * "lever", which has a `problem`.
 */
export function sequence_of(field, reading) {
  const inputs = settled_inputs(reading);
  const nothing_yet = { waits: null, problem: null, card: null, drag: null, wanted: null, setting: null, advice: [],
    working: [], lever: null };
  if (NUMBERS.some((name) => inputs[name] && number_problem(inputs[name]))) return { ...nothing_yet, waits: "number" };
  const [found, problem] = asked(() => worked_out(field, reading.unit, inputs));
  return problem ? { ...nothing_yet, waits: "lever", problem } : { ...nothing_yet, ...found };
}

/** The codes of `wrench_advice` that keep the `typed` torque on its scale from a pass. */
export function stops_for(typed, reading) {
  const { full_scale } = settled_inputs(reading);
  if (!full_scale || number_problem(full_scale)) return [];
  const [found] = asked(() => wrench_advice(settled(typed), full_scale, null));
  return found?.filter((code) => code !== "wrench_ill_suited") ?? [];
}

/** The tolerance of the wrench at the `applied` torque, texts in the unit of `reading`; null when it is not known. */
export function tolerance_at(applied, reading) {
  const [reach] = asked(() => {
    const percent = told_tolerance(settled_inputs(reading), "tolerance_percent");
    return percent && text_of(uncertainty(ratio(applied), percent));
  });
  return reach;
}

function worked_out(field, unit, inputs) {
  const [limits] = limits_of(field, { inputs });
  if (limits === null) return { waits: "limits" };
  const card = each_end(limits, (end) => in_unit(end, field.unit, unit));
  const lever = lever_of(inputs);
  if (inputs.extension && !lever) return { waits: "wrench_length", card: texts(card) };
  if (inputs.drag && inputs.drag_at === "wrench" && !lever) return { waits: "extension", card: texts(card) };
  if (field.torque?.drag && !inputs.drag) return { waits: "drag", card: texts(card), lever };
  if (lever) drag_at_fastener("0", lever.length, lever.extension, lever.angle); // throws when there is no lever
  if (lever && inputs.drag && !inputs.drag_at) return { waits: "drag_at", card: texts(card), lever };
  const drag = drag_of(inputs, lever);
  const wanted = window(card, drag);
  const setting = setting_range(wanted, lever?.length ?? null, lever?.extension ?? null, lever?.angle ?? null);
  return {
    card: texts(card), drag: text_of(drag), wanted: texts(wanted), setting, lever,
    advice: advice_of(setting, inputs), working: lever ? working(texts(wanted), lever) : [],
  };
}

function working(wanted, { length, extension, angle }) {
  const sign = extension.startsWith("-") ? "−" : "+";
  const part = extension.replace("-", "") + (angle === "0" ? "" : ` × cos ${angle}°`);
  return ENDS.filter((end) => wanted[end] !== null).map((end) => {
    const exact = read_number(wrench_setting(wanted[end], length, extension, 2, angle));
    return `${wanted[end]} × ${length} ÷ (${length} ${sign} ${part}) = ${exact}`;
  });
}

function lever_of({ wrench_length, extension, angle }) {
  return wrench_length && extension ? { length: wrench_length, extension, angle: angle || "0" } : null;
}

function drag_of({ drag, drag_at }, lever) {
  if (!drag) return ratio("0");
  if (!lever || drag_at !== "wrench") return ratio(drag);
  return drag_at_fastener(drag, lever.length, lever.extension, lever.angle);
}

/* Said of the whole range where it holds at both ends. */
function advice_of(setting, { full_scale, graduation }) {
  if (!full_scale) return [];
  const at = (torque) => (torque === null ? [] : wrench_advice(torque, full_scale, graduation ?? null));
  const [low, high] = ENDS.map((end) => at(setting[end]));
  const open = ENDS.some((end) => setting[end] === null);
  const codes = [...new Set([...low, ...high])];
  return codes.map((code) => ({ code, end: open || (low.includes(code) && high.includes(code)) ? "all"
    : low.includes(code) ? "low" : "high" }));
}

function settled_inputs({ inputs }) {
  const typed = Object.entries(inputs).map(([name, text]) => [name, settled(text)]);
  return Object.fromEntries(typed.filter(([, text]) => text));
}

function each_end(pair, change) {
  return Object.fromEntries(ENDS.map((end) => [end, pair[end] === null ? null : change(pair[end])]));
}

const text_of = (exact) => read_number(show(exact, 2));

const texts = (pair) => each_end(pair, text_of);
