/*
 * What the card says about one item: caution before the step, what to do, what to look for, why. Template, no element.
 */
import { html } from "../vendor/lit.js";
import "./caution-note.js";

/** The step of a template `item`. */
export function step_lines(item) {
  return html`
    <caution-note .cautions=${item.cautions}></caution-note>
    <section class="step">
      <h2>Do</h2><p class="do">${item.do}</p>
      <h2>Look for</h2><ul>${item.look_for.map((sign) => html`<li>${sign}</li>`)}</ul>
      <h2>Why</h2><p class="why">${item.why}</p>
    </section>`;
}
