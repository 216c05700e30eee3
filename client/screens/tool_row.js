/*
 * One tool of the list: what it is, what is known of it, how its calibration stands, and what an author can do with it.
 */
import { html, nothing } from "../vendor/lit.js";
import { tool_state } from "../parts/shop_words.js";
import { facts_lines } from "../parts/tool_words.js";

/**
 * A list item. `ways` is null for who may not change tools, else {change(), ask(), drop(), leave()}: the form, the question
 * whether the tool was dropped, yes, and no. `asking` shows that question.
 */
export function tool_row(tool, { today, ways, asking, busy }) {
  const { words, out } = tool_state(tool, today);
  return html`
    <li class="card plain" data-serial=${tool.serial}><strong class="title">${tool.name}</strong> <span class="plate">${tool.serial}</span>
      ${facts_lines(tool.facts).map((line) => html`<span class="known">${line}</span>`)}
      <span class=${out ? "lapsed" : "quiet"}>${words}</span>
      ${ways ? asking ? question(tool, ways, busy) : buttons(tool, ways, out) : nothing}</li>`;
}

function buttons(tool, ways, out) {
  const can_lapse = !out && (tool.calibrated_until || tool.facts);
  return html`
    <span class="pair"><button type="button" aria-label="Change ${tool.serial}" @click=${ways.change}>Change</button>
      ${can_lapse ? html`<button type="button" aria-label="${tool.serial} was dropped or abused" @click=${ways.ask}>Dropped or abused</button>`
        : nothing}</span>`;
}

function question({ serial, facts }, ways, busy) {
  return html`
    <div class="decision asked" role="group" tabindex="-1" aria-label="Was ${serial} dropped or abused?">
      <p><strong>Was ${serial} dropped or abused?</strong> Then it counts as out of calibration from today, and no reading taken
        with it closes an item until the day of a new calibration is kept here. What was recorded before stays.
        ${facts?.use === "torque_wrench" ? "AC 43.13-1B par. 7-40 a: after abuse or a drop a torque wrench is calibrated at once."
          : nothing}</p>
      <button type="button" class="decide" ?disabled=${busy} @click=${ways.drop}>Yes: ${serial} needs a calibration</button>
      <div class="ways"><button type="button" @click=${ways.leave}>No, leave it as it is</button></div></div>`;
}
