/*
 * What the rules say of a field once it is filled in, beyond what the frame says of the limits of the card.
 */
import { html } from "../vendor/lit.js";
import { sentence } from "../rules/problems.js";
import { judged, stops_of } from "./reading.js";

const SAID_ELSEWHERE = ["outside_limits", "not_acceptable", "tool_missing", "reading_missing", "table_outside",
  "pressure_above_supply"];

/**
 * {lines, verdict} for `field_frame`: the sentences of what keeps the field from a pass, and how it is judged where the
 * frame cannot say it itself, else null. No lines while a number is being typed.
 * `allowed` names the limits in force ("at least 62 psi"), "" when none are known yet; without it, those of the card.
 */
export function stops_said({ field, reading, typing }, allowed) {
  const lines = typing.left() ? stop_lines(field, reading) : [];
  if (lines.length) return { lines, verdict: html`<p class="judged out" role="status">The item cannot pass.</p>` };
  return { lines, verdict: allowed === undefined ? null : limits_verdict(judged(field, reading)?.within, allowed) };
}

/** The sentences of what keeps the field from a pass, as templates. None while something is missing. */
export function stop_lines(field, reading) {
  if (reading.values.some((value) => !value)) return [];
  return stops_of(field, reading)
    .filter(([code]) => !SAID_ELSEWHERE.includes(code) && !code.endsWith("_missing"))
    .map(([code, fields]) => html`<p class="problem" role="alert">${sentence(code, fields)}</p>`);
}

function limits_verdict(within, allowed) {
  const outside = `Out of limits: allowed is ${allowed}. The item cannot pass.`;
  const words = { true: "Within limits", false: outside }[within] ?? "";
  return html`<p class="judged ${within === false ? "out" : "in"}" role="status">${words}</p>`;
}
