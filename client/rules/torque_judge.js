/*
 * What a torque reading means: what reached the fastener, and whether that is inside the window of drag and limits.
 * Twin of server/witnessmark/rules/torque_judge.py, which names inputs and sources; held by tests/vectors/torque_judge.json.
 */
import { may_pass, outcome, uncertainty } from "./guard.js";
import { guard_stop, is_within, stop, told_tolerance } from "./judging.js";
import { limits_of } from "./limits.js";
import { Problem } from "./problems.js";
import { ratio, show } from "./ratio.js";
import { applied_torque, drag_at_fastener, show_torque, window, wrench_advice } from "./torque.js";
import { in_unit, span_in_unit } from "./units.js";

const DRAG_AT = ["fastener", "wrench"];
const HARD = ["wrench_below_range", "wrench_above_range"];

/** [within, derived, stops] of a torque, see judges.js. */
export function judge_torque(field, reading) {
  const { inputs, values } = reading;
  if (values.length === 1 && values[0] === null) return [null, {}, []];
  if (values.length !== 1) throw new Problem("readings_none", {});
  if (!DRAG_AT.includes(inputs.drag_at ?? "fastener")) {
    throw new Problem("choice_unknown", { value: inputs.drag_at, title: field.title });
  }
  const lever = lever_of(inputs);
  const applied = lever ? applied_torque(values[0], ...lever) : ratio(values[0]);
  const derived = lever ? { applied: show_torque(applied) } : {};
  let [limits] = limits_of(field, reading);
  const stops = advice(inputs, values[0]).filter((code) => HARD.includes(code)).map((code) => stop(code, field));
  const asked = field.torque?.drag;
  if (asked && !Object.hasOwn(inputs, "drag")) return [null, derived, [...stops, stop("drag_missing", field)]];
  if (asked && limits !== null) {
    if (lever && !Object.hasOwn(inputs, "drag_at")) return [null, derived, [...stops, stop("drag_place_missing", field)]];
    const through = lever && inputs.drag_at === "wrench";
    const drag = through ? drag_at_fastener(inputs.drag, ...lever) : ratio(inputs.drag);
    limits = window(limits, span_in_unit(drag, reading.unit, field.unit));
    for (const end of ["min", "max"].filter((name) => limits[name] !== null)) {
      derived[`window_${end}`] = show(in_unit(limits[end], field.unit, reading.unit), 2);
    }
  }
  const [within, told, more] = decide(field, inputs, in_unit(applied, reading.unit, field.unit), limits);
  return [stops.length && within ? null : within, { ...derived, ...told }, [...stops, ...more]];
}

function decide(field, inputs, value, limits) {
  const within = is_within(limits, value);
  const decision = field.decision ?? "simple";
  const percent = told_tolerance(inputs, "tolerance_percent");
  if (percent === null || limits === null) {
    const missing = decision !== "simple";
    return [missing ? null : within, {}, missing ? [stop("tolerance_missing", field)] : []];
  }
  const found = outcome(value, limits.min, limits.max, uncertainty(value, percent));
  if (within && !may_pass(decision, within, found)) return [false, { outcome: found }, [guard_stop(field, found)]];
  return [within, { outcome: found }, []];
}

/* [wrench length, extension, angle] when an extension is used, else null. */
function lever_of(inputs) {
  if (!Object.hasOwn(inputs, "extension")) return null;
  if (!Object.hasOwn(inputs, "wrench_length")) throw new Problem("torque_geometry", {});
  return [inputs.wrench_length, inputs.extension, inputs.angle ?? "0"];
}

function advice(inputs, setting) {
  return Object.hasOwn(inputs, "full_scale") ? wrench_advice(setting, inputs.full_scale, inputs.graduation ?? null) : [];
}
