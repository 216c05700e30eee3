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
import { day_of } from "../parts/shop_words.js";
import { day_before } from "../parts/tool_words.js";
import { tool_row } from "./tool_row.js";
import "./tool-form.js";

const NEW = { serial: "", name: "", calibrated_until: null, facts: null };

class ToolsPage extends LitElement {
  static properties = {
    tools: { state: true }, changing: { state: true }, asking: { state: true }, busy: { state: true }, problem: { state: true },
  };

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

  async keep(tool, words) {
    if (!await attempt(this, () => keep_tool(tool))) return;
    say(words);
    this.asking = null;
    await this.load();
    await this.show_list(tool.serial);
  }

  /** Back to the list, at the tool that was touched. */
  async show_list(serial) {
    this.changing = null;
    this.problem = "";
    await this.updateComplete;
    this.querySelector(`[data-serial="${CSS.escape(serial)}"]`)?.scrollIntoView({ block: "center" });
  }

  /** Without its facts, which stay as the shop has them. */
  drop({ serial, name }) {
    return this.keep({ serial, name, calibrated_until: day_before(day_of(new Date())) }, `${serial} needs a calibration`);
  }

  change(tool) {
    this.changing = tool;
    this.asking = null;
    this.problem = "";
  }

  async ask(serial) {
    this.asking = serial;
    this.problem = "";
    await this.updateComplete;
    this.querySelector(".asked").focus();
  }

  get keeps() {
    return session.person.roles.includes("author");
  }

  row(tool) {
    const ways = this.keeps ? {
      change: () => this.change(tool), ask: () => this.ask(tool.serial), drop: () => this.drop(tool),
      leave: () => { this.asking = null; },
    } : null;
    return tool_row(tool, { today: day_of(new Date()), ways, asking: this.asking === tool.serial, busy: this.busy });
  }

  form() {
    return html`
      <tool-form .tool=${this.changing} .busy=${this.busy} .refusal=${this.problem}
        @keep=${({ detail }) => this.keep(detail, `Kept: ${detail.name} ${detail.serial}`)} @leave=${() => this.show_list(this.changing.serial)}></tool-form>`;
  }

  list() {
    return html`
      <p>Readings name the tool by this serial number. A value taken with a tool that was out of calibration stops the release.</p>
      ${this.keeps ? html`<div class="ways">
        <button type="button" class="primary" @click=${() => this.change(NEW)}>Add a tool</button></div>` : nothing}
      ${this.tools.length ? html`<ul class="cards">${this.tools.map((tool) => this.row(tool))}</ul>` : html`<p>No tools yet.</p>`}`;
  }

  body() {
    if (this.changing) return this.form();
    return html`${problem_note(this.problem)}
      ${this.tools ? this.list() : from_server({ busy: this.busy, again: () => this.load() })}`;
  }

  render() {
    return html`${page_head({ title: "Tools" })} ${this.body()}`;
  }
}

customElements.define("tools-page", ToolsPage);
