/*
 * What all fields share: title, limits, tool serial, and what the rules say at once. Templates, no elements.
 * A field element has the properties `field` (of the card template), `reading` (see parts/reading.js) and, when a tool may
 * be named, `tools` (the shop's register). It tells its page of every keystroke by the event "reading", detail = the
 * reading as it is now.
 */
import { html, live, nothing } from "../vendor/lit.js";
import { calibration_words, judged, limit_words, plain_lines, tool_of } from "./reading.js";
import { number_problem, settled } from "./typed_number.js";

/** Tell the page that the reading of `host` changed. */
export function tell(host, reading) {
  host.dispatchEvent(new CustomEvent("reading", { detail: reading, bubbles: true }));
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
      ${inputs}
      ${field.tool ? tool_input(host) : nothing}
      ${verdict ?? verdict_line(field, judged(field, reading), limits)}
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

/** Which tool it is, by its serial number. */
export function tool_input(host) {
  const { field, reading } = host;
  const change = (event) => tell(host, { ...reading, tools: [event.target.value] });
  const id = `${field.field}-tool`;
  return html`
    <label class="line" for=${id}>Serial number of the ${field.tool}</label>
    <input id=${id} autocomplete="off" autocapitalize="characters" spellcheck="false" list="${id}-known"
      maxlength="120" enterkeyhint="done" .value=${live(reading.tools[0] ?? "")} @input=${change}>
    <datalist id="${id}-known">${host.tools?.map(({ serial, name }) => html`<option value=${serial}>${name}</option>`)}</datalist>
    ${calibration_line(plain_lines(reading.tools[0] ?? ""), host.tools ?? [])}`;
}

function calibration_line(serial, tools) {
  if (!serial) return nothing;
  const tool = tool_of(serial, tools);
  const day = new Date().toISOString().slice(0, 10);
  const past = tool.calibrated_until !== null && tool.calibrated_until < day;
  return html`<p class=${past ? "judged out" : "quiet"} role="status">${serial}: ${calibration_words(tool, day)}.</p>`;
}

function verdict_line(field, verdict, limits) {
  const choice = field.kind === "choice";
  const words = {
    true: choice ? "Acceptable" : "Within limits",
    false: choice ? "Not acceptable as recorded: the item cannot pass."
      : `Out of limits: allowed is ${limits}. The item cannot pass.`,
  }[verdict?.within] ?? "";
  return html`<p class="judged ${verdict?.within === false ? "out" : "in"}" role="status">${words}</p>`;
}

/** Enter goes to the next input of the same field, as the keypad's "next" key promises. */
function to_next_input(event) {
  if (event.key !== "Enter") return;
  event.preventDefault();
  const inputs = [...event.target.closest("fieldset").querySelectorAll("input.value")];
  const next = inputs[inputs.indexOf(event.target) + 1];
  if (next) next.focus();
  else event.target.blur();
}
