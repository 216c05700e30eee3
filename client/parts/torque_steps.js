/*
 * The steps of a torque around the wrench: drag, what to set, what was seen. `host` as in parts/torque_inputs.
 */
import { html, live, nothing } from "../vendor/lit.js";
import { number_input, tell } from "./field_frame.js";
import { with_value } from "./reading.js";
import { keep, titled, unit_question, wrench_unit } from "./torque_inputs.js";
import { ADVICE, ADVICE_SOURCE, ENDS, STOPS, WAITING, range_words, unbroken, whole } from "./torque_words.js";

/** Friction drag: read while the nut runs down. */
export function drag_step(host) {
  const { field, reading } = host;
  const at = reading.inputs.drag_at ?? (reading.inputs.extension ? null : "fastener");
  const choice = (chosen, where, words) => html`
    <label class="option">
      <input type="radio" name="${field.field}-drag_at" .checked=${live(chosen)}
        @change=${() => keep(host, { drag_at: where })}>
      <span>${words}</span></label>`;
  return html`
    <p>Run the nut down. Just before it touches, read what the wrench shows while the nut keeps turning.</p>
    ${titled(host, "drag", "Friction drag torque", { unit_input: wrench_unit(host, `${field.field}-drag`) })}
    ${unit_question(host)}
    <div class="options" role="radiogroup" aria-label="Where the drag was read">
      ${choice(at === "fastener", "fastener", "Read at the fastener")} ${choice(at === "wrench", "wrench", "Read through the extension")}
    </div>`;
}

/** What to set the wrench to, and how that comes about. `found` is of `sequence_of`. */
export function setting_step(host, found) {
  const { field, reading: { unit } } = host;
  if (!found.setting) {
    return html`<p class="set-to unset quiet" role="status">${found.problem?.sentence ?? WAITING[found.waits]}</p>`;
  }
  const changed = found.lever || found.drag !== "0" || unit !== field.unit;
  return html`
    <div class="set-to" role="status">
      <output>${range_words(found.setting, "")} <span>${unit}</span></output>
      ${changed ? html`<p class="quiet">At the fastener ${at_fastener(found, field, unit)}</p>` : nothing}
      ${found.working.map((line) => html`<p class="quiet">${line}</p>`)}
    </div>
    ${advice_lines(found.advice)}
    ${field.torque.nut === "castle" ? castle(found.setting, unit) : nothing}
    <p>Pull slowly in one motion. If the nut chatters or jerks, back it off and pull again.</p>`;
}

function at_fastener({ card, drag, wanted }, field, unit) {
  const window = whole(`${range_words(wanted, unit)}.`);
  const own = unit === field.unit ? nothing : html` ${whole(`(${range_words(field.limits, field.unit)}`)} on the card)`;
  if (drag === "0") return unit === field.unit ? window : html`${whole(range_words(wanted, unit))}${own}.`;
  return html`${whole(range_words(card, unit))}${own} and ${whole(`${drag} ${unit}`)} of drag: ${window}`;
}

/** What speaks against the wrench, [{end, code}]: what stops the item first, then what is only advised. */
export function advice_lines(advice) {
  const words = (lines) => lines.map(({ end, code }) => `${ENDS[end]} ${ADVICE[code]} `);
  const source = html`<span class="quiet">${unbroken(ADVICE_SOURCE)}</span>`;
  const [stops, others] = [true, false].map((wanted) => advice.filter(({ code }) => STOPS.includes(code) === wanted));
  return html`
    ${stops.length ? html`<p class="problem" role="alert">${words(stops)}${source}</p>` : nothing}
    ${others.length ? html`<p class="advice">${words(others)}${source}</p>` : nothing}`;
}

function castle({ min, max }, unit) {
  const from = min === null ? nothing : html`begin at ${whole(`${min} ${unit},`)} then`;
  const never = max === null ? "." : html`, never above ${whole(`${max} ${unit}.`)}`;
  return html`
    <p class="advice"><strong>Castle nut:</strong> ${from} go on to the next slot that lines up with the hole${never}
      If none does, change the washer or the nut and begin anew. Do not loosen a tight nut to make the hole line up.
      <span class="quiet">${unbroken("AC 43.13-1B par. 7-40 f")}</span></p>`;
}

/** What the wrench showed; `label` holds the ids of its titles. */
export function seen(host, label) {
  const { field, reading } = host;
  const id = `${field.field}-0`;
  return [number_input({
    id, label, value: reading.values[0], unit_input: wrench_unit(host, id),
    limits: field.limits ? `${field.field}-limits` : undefined,
    change: (typed) => tell(host, with_value(reading, 0, typed)),
  }), unit_question(host)];
}
