/*
 * The tables of a tensiometer as they are typed: one column for each cable and riser. What is wrong with a line is said
 * once the next one is begun, and of the last line when `whole` says that the typing is over. Not when the column is left:
 * what appears then would move the button from under the thumb that presses it.
 *
 * Usage: <tool-tables .columns=${[{column, lines, whole}]} .unit=${"lbf"} @columns=${(event) => event.detail}></tool-tables>
 */
import { LitElement, html, live, nothing } from "../vendor/lit.js";
import { table_words } from "../parts/tool_words.js";
import { read_table } from "./table_lines.js";
import { NEW_COLUMN } from "./tool_draft.js";

const MOST = 12;

class ToolTables extends LitElement {
  static properties = { columns: { attribute: false }, unit: { attribute: false } };

  createRenderRoot() {
    return this;
  }

  tell(columns) {
    this.dispatchEvent(new CustomEvent("columns", { detail: columns }));
  }

  change(index, part) {
    this.tell(this.columns.with(index, { ...this.columns[index], ...part }));
  }

  updated(changed) {
    const before = changed.get("columns")?.length;
    if (before && this.columns.length > before) this.querySelector(`#column-${before}`).focus();
  }

  said({ lines, whole }) {
    const { rows, wrong, doubts } = read_table(whole ? lines : lines.slice(0, lines.lastIndexOf("\n") + 1));
    return html`
      ${wrong.map((sentence) => html`<p class="problem">${sentence}</p>`)}
      ${doubts.map((sentence) => html`<p class="asks">${sentence}</p>`)}
      ${wrong.length || rows.length < 2 ? nothing
        : html`<p class="judged">${rows.length} lines: ${table_words(rows, this.unit)}</p>`}`;
  }

  column({ column, lines, whole }, index) {
    return html`
      <fieldset class="field"><legend>Column ${index + 1}</legend>
        <label class="line" for="column-${index}">Cable and riser</label>
        <input id="column-${index}" autocomplete="off" maxlength="60" .value=${live(column)}
          @input=${(event) => this.change(index, { column: event.target.value })}>
        <label class="line" for="lines-${index}">Lines: dial, then tension in ${this.unit}</label>
        <textarea id="lines-${index}" rows="5" maxlength="6000" spellcheck="false" autocomplete="off" aria-describedby="lines-said-${index}"
          .value=${live(lines)} @input=${(event) => this.change(index, { lines: event.target.value })}></textarea>
        <div id="lines-said-${index}" role="status">${this.said({ lines, whole })}</div>
        ${this.columns.length > 1 ? html`<button type="button"
          @click=${() => this.tell(this.columns.toSpliced(index, 1))}>Remove column ${index + 1}</button>` : nothing}
      </fieldset>`;
  }

  render() {
    return html`
      <p class="quiet">The table belongs to this serial number only: two tensiometers give different tensions for one dial
        reading. One line for each row, such as “24 50”. Between two rows the program takes the straight line; beyond the first
        and the last it says nothing.</p>
      ${this.columns.map((column, index) => this.column(column, index))}
      ${this.columns.length < MOST ? html`<button type="button" @click=${() => this.tell([...this.columns, NEW_COLUMN])}>Add a column</button>` : nothing}`;
  }
}

customElements.define("tool-tables", ToolTables);
