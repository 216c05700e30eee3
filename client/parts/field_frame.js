/*
 * What all fields share: title, limits, tool serial, and what the rules say at once. Templates, no elements.
 * A field element has the properties `field` (of the card template), `reading` (see parts/reading.js), when a tool may be
 * named `tools` (the shop's register), and when the value is followed over past cards `trend` (an address). It tells its
 * page of every keystroke by the event "reading", detail = the reading as it is now.
 */
import { html, live, nothing } from "../vendor/lit.js";
import {
  calibration_words, doubt_of, judged, limit_words, plain_lines, stops_of, tool_of, typing_problem, with_tool,
} from "./reading.js";
import { unfit_words } from "./tool_words.js";
import { number_problem, settled } from "./typed_number.js";

/** Tell the page that the reading of `host` changed. A value that was confirmed is in doubt again once it is another one. */
export function tell(host, reading) {
  const said = ({ unit, values, inputs: { drag, hours_then, hours_now } }) => [unit, ...values, drag, hours_then, hours_now].join("|");
  const same = said(reading) === said(host.reading);
  const { confirmed: _, ...unconfirmed } = reading.inputs;
  const detail = same ? reading : { ...reading, inputs: unconfirmed };
  host.dispatchEvent(new CustomEvent("reading", { detail, bubbles: true }));
}

/**
 * The frame around the inputs of a field element. `of` names what the limits apply to, when not the value; `verdict` is a
 * template that says how the value is judged, where it is not judged by the limits of the card alone.
 */
export function field_frame(host, inputs, of = "", verdict = null) {
  const { field, reading } = host;
  const limits = limit_words(field);
  return html`
    <fieldset class="field">
      <legend id=${`${field.field}-title`}>${field.title}
        ${field.required ? nothing : html`<span class="quiet">may stay empty</span>`}</legend>
      ${limits ? html`<p class="limits" id=${`${field.field}-limits`}>
        ${of} <strong>${limits}</strong> <span class="quiet">Source: ${field.source}</span></p>` : nothing}
      ${more_limits(field)}
      ${inputs}
      ${doubt_question(host)}
      ${field.tool ? tool_input(host) : nothing}
      ${tolerance_input(host)}
      ${field.trend ? followed(host) : nothing}
      ${verdict ?? verdict_line(field, reading, limits)}
    </fieldset>`;
}

/**
 * One number with its unit beside it. `label` is the id of its label, `change(typed)` takes each keystroke.
 * `unit_input` is a template to choose the unit in, with the id `${id}-unit`.
 */
export function number_input({ id, label, limits, value, unit, unit_input, change, next }) {
  const problem = number_problem(value);
  return html`
    <span class="number">
      <input id=${id} aria-labelledby="${label} ${id}-unit" aria-describedby=${limits ?? nothing} class="value"
        inputmode="decimal" autocomplete="off" maxlength="40" enterkeyhint=${next ? "next" : "done"}
        aria-invalid=${problem ? "true" : nothing} .value=${live(value)}
        @input=${(event) => change(event.target.value)}
        @change=${(event) => change(settled(event.target.value))} @keydown=${to_next_input}>
      ${unit_input ?? html`<span class="unit" id="${id}-unit">${unit ?? ""}</span>`}
    </span>
    ${problem ? number_question(problem, change) : nothing}`;
}

function number_question(problem, change) {
  const { first, second } = problem.fields;
  return html`
    <div class="problem" role="alert"><p>${problem.sentence}</p>
      ${first === undefined ? nothing : html`<div class="pair">${[first, second].map((text) => html`
        <button type="button" @click=${() => change(text)}>${text}</button>`)}</div>`}
    </div>`;
}

/* What the values may differ, and where the limits that depend on something come from. */
function more_limits({ step, spread, limits, limits_at, limits_by, unit, source }) {
  const words = [step && `Neighbours differ by at most ${step} ${unit}.`, spread && `All differ by at most ${spread} ${unit}.`];
  const said = limits || !(step || spread || limits_at || limits_by) ? "" : `Source: ${source}`;
  const told = [...words.filter(Boolean), said].join(" ").trim();
  return told ? html`<p class="quiet">${told}</p>` : nothing;
}

/* Words and commas are said at their own number. */
const SAID_BELOW = ["number_negative", "again_wrong"];

function doubt_question(host) {
  const { reading } = host;
  const wrong = typing_problem(host.field, reading);
  if (SAID_BELOW.includes(wrong?.code)) return html`<p class="problem" role="alert">${wrong.sentence}</p>`;
  const doubt = doubt_of(host.field, reading);
  const confirm = () => tell(host, { ...reading, inputs: { ...reading.inputs, confirmed: "yes" } });
  if (!doubt) return nothing;
  return html`<div class="problem" role="alert"><p>${doubt.sentence}</p>
    <button type="button" @click=${confirm}>I read it so</button></div>`;
}

/* A value that is followed over past cards: was the part changed, and the way to what it was before. */
function followed(host) {
  const { field, reading } = host;
  const change = ({ target }) => tell(host, { ...reading, inputs: { ...reading.inputs, new_part: target.checked ? "yes" : "" } });
  return html`
    <div class="followed">
      <label class="option wide"><input type="checkbox" .checked=${live(reading.inputs.new_part === "yes")} @change=${change}>
        <span>A new part was fitted since the last inspection</span></label>
      ${host.trend ? html`<a class="button" href="${host.trend}/${field.field}">Trend</a>` : nothing}
    </div>`;
}

/** Which tool it is, by its serial number. */
export function tool_input(host) {
  const { field, reading } = host;
  const change = (event) => tell(host, with_tool(reading, event.target.value, host.tools));
  const id = `${field.field}-tool`;
  return html`
    <label class="line" for=${id}>Serial number of the ${field.tool}</label>
    <input id=${id} autocomplete="off" autocapitalize="characters" spellcheck="false" list="${id}-known"
      maxlength="120" enterkeyhint="done" .value=${live(reading.tools[0] ?? "")} @input=${change}>
    <datalist id="${id}-known">${host.tools?.map(({ serial, name }) => html`<option value=${serial}>${name}</option>`)}</datalist>
    ${calibration_line(field, plain_lines(reading.tools[0] ?? ""), host.tools ?? [])}`;
}

/* Where the card's decision counts the tolerance: from the register, or typed from the tool's certificate. */
function tolerance_input(host) {
  const { field, reading } = host;
  if (field.kind !== "measure" || (field.decision ?? "simple") === "simple") return nothing;
  const id = `${field.field}-tolerance`;
  const change = (tolerance) => tell(host, { ...reading, inputs: { ...reading.inputs, tolerance } });
  return html`
    <label class="line" id="${id}-label" for=${id}>Tolerance of the tool, ±</label>
    ${number_input({ id, label: `${field.field}-title ${id}-label`, value: reading.inputs.tolerance ?? "", unit: reading.unit, change })}`;
}

function calibration_line(field, serial, tools) {
  if (!serial) return nothing;
  const tool = tool_of(serial, tools);
  const known = tools.find((one) => one.serial === serial);
  const name = known ? `${serial}, ${known.name}` : serial;
  const unfit = unfit_words(field, known?.facts ?? null);
  const day = new Date().toISOString().slice(0, 10);
  const past = tool.calibrated_until !== null && tool.calibrated_until < day;
  return html`
    <p class="calibration ${past ? "judged out" : "quiet"}" role="status">${name}: ${calibration_words(tool, day)}.</p>
    ${unfit ? html`<p class="problem" role="alert">${unfit}</p>` : nothing}`;
}

function verdict_line(field, reading, limits) {
  const verdict = judged(field, reading);
  const chosen = field.options.length > 0;
  const told = verdict?.within === false ? stops_of(field, reading).map(([code]) => code) : [];
  const by_limits = limits && told.every((code) => LIMITS_SAY.includes(code));
  const outside = by_limits ? `Out of limits: allowed is ${limits}. The item cannot pass.` : "The item cannot pass.";
  const words = {
    true: chosen ? "Acceptable" : "Within limits",
    false: chosen ? "Not acceptable as recorded: the item cannot pass." : outside,
  }[verdict?.within] ?? "";
  const near = NEAR[verdict?.derived.outcome];
  return html`<p class="judged ${verdict?.within === false ? "out" : "in"}" role="status">${words}${near ? html`<br>${near}` : nothing}</p>`;
}

const LIMITS_SAY = ["outside_limits", "reading_missing", "tool_missing"];
const NEAR = {
  conditional_pass: "Nearer to a limit than this tool can tell.",
  conditional_fail: "Nearer to the limit than this tool can tell.",
  tool_not_good_enough: "This tool is too coarse for these limits.",
};

/** Enter goes to the next input of the same field, as the keypad's "next" key promises. */
function to_next_input(event) {
  if (event.key !== "Enter") return;
  event.preventDefault();
  const inputs = [...event.target.closest("fieldset").querySelectorAll("input.value")];
  const next = inputs[inputs.indexOf(event.target) + 1];
  if (next) next.focus();
  else event.target.blur();
}
