/*
 * The shop's register of calibrated tools. An author adds and changes; everybody sees which tool is out of calibration.
 *
 * Usage: <tools-page></tools-page>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { keep_tool, tools } from "../device/desk_api.js";
import { session } from "../device/session.js";
import { attempt } from "../parts/attempt.js";
import { page_head, problem_note, say } from "../parts/page_head.js";
import { from_server } from "../parts/reasoned.js";
import { day_of, tool_state } from "../parts/shop_words.js";

const NEW = { serial: "", name: "", calibrated_until: null };

class ToolsPage extends LitElement {
  static properties = { tools: { state: true }, changing: { state: true }, busy: { state: true }, problem: { state: true } };

  createRenderRoot() {
    return this;
  }

  connectedCallback() {
    super.connectedCallback();
    this.load();
  }

  load() {
    return attempt(this, async () => {
      this.tools = (await tools()).sort((a, b) => a.name.localeCompare(b.name) || a.serial.localeCompare(b.serial));
    });
  }

  async submit(event) {
    event.preventDefault();
    const { serial, tool, until } = event.target.elements;
    const kept = { serial: serial.value.trim(), name: tool.value.trim(), calibrated_until: until.value || null };
    if (!await attempt(this, () => keep_tool(kept))) return;
    say(`Kept: ${kept.name} ${kept.serial}`);
    this.changing = null;
    await this.load();
  }

  row(tool) {
    const { words, out } = tool_state(tool, day_of(new Date()));
    return html`
      <li class="card plain"><strong class="title">${tool.name}</strong> <span class="plate">${tool.serial}</span>
        <span class=${out ? "lapsed" : "quiet"}>${words}</span>
        ${this.keeps ? html`<button type="button" @click=${() => this.change(tool)}>Change ${tool.serial}</button>` : nothing}</li>`;
  }

  get keeps() {
    return session.person.roles.includes("author");
  }

  async change(tool) {
    this.changing = tool;
    this.problem = "";
    await this.updateComplete;
    this.querySelector("form").scrollIntoView({ block: "center" });
    this.querySelector(tool.serial ? "#until" : "#serial").focus();
  }

  form() {
    const { serial, name, calibrated_until } = this.changing;
    return html`
      <form class="found kept" @submit=${this.submit}><h2>${serial ? `Change ${serial}` : "Add a tool"}</h2>
        <label class="line" for="serial">Serial number</label>
        <input id="serial" name="serial" autocomplete="off" autocapitalize="characters" spellcheck="false" maxlength="120"
          .value=${serial} ?readonly=${Boolean(serial)} required>
        <label class="line" for="tool">What it is</label>
        <input id="tool" name="tool" autocomplete="off" maxlength="120" .value=${name} required>
        <label class="line" for="until">Calibrated until</label>
        <input id="until" name="until" type="date" .value=${calibrated_until ?? ""}>
        <p class="quiet">The last day counts. Leave it empty for a tool without a date.</p>
        ${problem_note(this.problem)}
        <button class="primary" ?disabled=${this.busy}>Keep this tool</button>
        <div class="ways"><button type="button" @click=${() => { this.changing = null; this.problem = ""; }}>${serial ? "Leave it as it was" : "Do not add it"}</button></div>
      </form>`;
  }

  list() {
    return html`
      <p>Readings name the tool by this serial number. A value taken with a tool that was out of calibration stops the release.</p>
      ${this.tools.length ? html`<ul class="cards">${this.tools.map((tool) => this.row(tool))}</ul>` : html`<p>No tools yet.</p>`}
      ${this.changing ? this.form() : this.keeps ? html`<div class="ways">
        <button type="button" class="primary" @click=${() => this.change(NEW)}>Add a tool</button></div>` : nothing}`;
  }

  render() {
    return html`
      ${page_head({ title: "Tools" })}
      ${this.changing ? nothing : problem_note(this.problem)}
      ${this.tools ? this.list() : from_server({ busy: this.busy, again: () => this.load() })}`;
  }
}

customElements.define("tools-page", ToolsPage);
