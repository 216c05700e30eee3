/*
 * One item of a card: what is recorded already, and the form that fits its status.
 *
 * Usage: <item-page .card_id=${card} .item_id=${item}></item-page>
 */
import { LitElement, html, nothing, repeat } from "../vendor/lit.js";
import { session } from "../device/session.js";
import { read_draft, read_setting, write_setting } from "../device/store.js";
import { attempt } from "../parts/attempt.js";
import { entry_lines } from "../parts/entry_lines.js";
import { page_head, problem_note, say } from "../parts/page_head.js";
import { step_lines } from "../parts/step_lines.js";
import { kind_words, result_words, stop_words } from "../parts/status_words.js";
import { may, statement } from "../rules/sign_off.js";
import { DraftKeeper } from "./draft_keeper.js";
import { StoreWatch, card_line, find_item, next_item, open_card } from "./open_card.js";
import { record } from "./record.js";
import { empty_draft } from "./result_body.js";
import "./corrective-form.js";
import "./inspect-form.js";

const TOOLS = "tool serials";

/** Which form an item's page opens with. */
export function mode_for(status, roles) {
  if (!may(roles, "result")) return "read";
  if (status === "disputed") return may(roles, "settlement") ? "settlement" : "read";
  return { open: "result", corrected: "result", failed: "corrective_action" }[status] ?? "read";
}

class ItemPage extends LitElement {
  static properties = {
    card_id: { attribute: false },
    item_id: { attribute: false },
    view: { state: true },
    draft: { state: true },
    serials: { state: true },
    busy: { state: true },
    problem: { state: true },
  };

  constructor() {
    super();
    this.keeper = new DraftKeeper(this);
    new StoreWatch(this);
  }

  createRenderRoot() {
    return this;
  }

  async read() {
    const view = await open_card(this.card_id);
    this.serials ??= await read_setting(TOOLS, {});
    this.draft ??= { ...empty_draft(), ...await read_draft(this.card_id, this.item_id) };
    this.view = view;
  }

  change(draft) {
    this.draft = draft;
    this.keeper.change(this.card_id, this.item_id, draft);
  }

  before_camera = () => this.keeper.before_camera(this.card_id, this.item_id, this.draft);

  async keep(kind, found, body) {
    if (this.busy) return;
    const { card } = this.view;
    const settled = kind === "settlement" ? { ...body, statement: statement(kind, card) } : body;
    this.keeper.forget();
    const kept = await attempt(this, () => record(this.view, {
      kind, item: this.item_id, supersedes: found.state.heads, body: settled,
    }));
    if (!kept) {
      this.change(this.draft);
      return;
    }
    say(`Saved on this phone: ${found.state.number} ${body.result ? result_words(body.result) : kind_words(kind)}`);
    await this.remember_tools(found.item, body.readings);
    await this.go_on(kind);
  }

  async remember_tools(item, readings) {
    const used = item.fields.filter(({ field, tool }) => tool && readings[field]?.tools.length)
      .map(({ field, tool }) => [tool, readings[field].tools[0]]);
    if (used.length) await write_setting(TOOLS, { ...this.serials, ...Object.fromEntries(used) });
  }

  async go_on(kind) {
    const view = await open_card(this.card_id);
    // Whoever has gone elsewhere meanwhile stays there.
    if (!this.isConnected) return;
    const next = kind === "result" ? next_item(view, this.item_id) : this.item_id;
    location.hash = next ? `#/card/${this.card_id}/item/${next}` : `#/card/${this.card_id}`;
    if (next === this.item_id) {
      this.draft = empty_draft();
      scrollTo(0, 0);
    }
  }

  recorded({ item, state }) {
    if (!state.heads.length) return nothing;
    const heads = state.heads.map((id) => this.view.entries.get(id));
    return html`
      <section class=${heads.length > 1 ? "side-by-side" : ""} aria-label="Recorded so far">
        <h2>${state.status === "disputed" ? "These entries disagree" : "Recorded"}</h2>
        <div class="entries">${repeat(state.heads, (id) => id, (id, index) => entry_lines(item, heads[index]))}</div>
        ${state.countersigned_by.map((id) => html`
          <p class="who">Countersigned by ${this.view.entries.get(id).author.name}</p>`)}
      </section>`;
  }

  form(found, mode) {
    if (mode === "read") {
      return html`${this.reading_only(found)}
        <details ?open=${!found.state.heads.length}><summary>The step, as the card says it</summary>${step_lines(found.item)}</details>`;
    }
    const { draft, busy, problem, before_camera } = this;
    const drafted = (event) => this.change(event.detail);
    const recorded = (event) => this.keep(mode, found, event.detail);
    if (mode === "corrective_action") {
      return html`<corrective-form .draft=${draft} .busy=${busy} .refusal=${problem} .before_camera=${before_camera}
        @draft=${drafted} @record=${recorded}></corrective-form>`;
    }
    return html`
      ${mode === "settlement" ? html`<section class="found"><h2>Settle the dispute</h2>
        <p>${statement("settlement", this.view.card)}</p></section>` : nothing}
      <inspect-form ?settles=${mode === "settlement"} .item=${found.item} .draft=${draft} .serials=${this.serials} .busy=${busy}
        .refusal=${problem} .before_camera=${before_camera} @draft=${drafted} @record=${recorded}></inspect-form>`;
  }

  reading_only({ state }) {
    const { roles } = session.person;
    if (state.status === "disputed") return html`<p class="told">An inspector settles it, having seen both.</p>`;
    if (!may(roles, "result")) return html`<p class="quiet">You can read this card; a mechanic or inspector records.</p>`;
    const next = next_item(this.view, this.item_id);
    return html`
      <div class="ways">
        ${next ? html`<a class="button primary" href="#/card/${this.card_id}/item/${next}">Next item</a>` : nothing}
        <button type="button" @click=${() => this.change({ ...this.draft, mode: "result" })}>Record this item again</button>
      </div>
      <p class="quiet">A new entry replaces the one shown here; both stay in the history.</p>`;
  }

  render() {
    const { view, draft } = this;
    if (!view?.template || !draft) return html`<p class="quiet">Opening the item …</p>`;
    const found = find_item(view, this.item_id);
    const { item, state, zone } = found;
    const mode = draft.mode ?? mode_for(state.status, session.person.roles);
    return html`
      ${page_head({
        back: `#/card/${this.card_id}`, back_words: card_line(view),
        above: `${state.number} · ${zone.title}`, title: item.title, item: state,
      })}
      ${item.countersign.needed && state.status !== "disputed" ? html`<p class="second-person"><strong>A second person countersigns this item:</strong>
        ${item.countersign.reason}</p>` : nothing}
      ${this.recorded(found)}
      ${problem_note(state.problems.map((code) => `This item ${stop_words(code)}.`))}
      ${this.form(found, mode)}`;
  }
}

customElements.define("item-page", ItemPage);
