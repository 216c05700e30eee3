/*
 * One grade of a scale, each with what it means: how far corrosion has gone, how much leaks.
 *
 * Usage: <scale-field .field=${field} .reading=${reading} @reading=${(event) => event.detail}></scale-field>
 */
import { LitElement, html, live, nothing } from "../vendor/lit.js";
import { field_frame, tell } from "./field_frame.js";
import { with_value } from "./reading.js";

class ScaleField extends LitElement {
  static properties = { field: { attribute: false }, reading: { attribute: false } };

  createRenderRoot() {
    return this;
  }

  grade(grade, means) {
    const { field, reading } = this;
    return html`
      <label class="option grade">
        <input type="radio" name=${field.field} .checked=${live(reading.values[0] === grade)}
          @change=${() => tell(this, with_value(reading, 0, grade))}>
        <span><span class="words"><strong>${grade}</strong> ${means}</span></span>
      </label>`;
  }

  render() {
    const { options, means = [], required, source } = this.field;
    const back = () => tell(this, with_value(this.reading, 0, ""));
    return field_frame(this, html`
      ${source ? html`<p class="quiet">Grades: ${source}</p>` : nothing}
      <div class="grades">${options.map((grade, index) => this.grade(grade, means[index] ?? ""))}
        ${required || !this.reading.values[0] ? nothing : html`
          <button type="button" @click=${back}>None of these: leave it empty</button>`}</div>`);
  }
}

customElements.define("scale-field", ScaleField);
