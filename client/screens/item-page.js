/*
 * One item of a card: what is recorded already, and the form that fits its status.
 *
 * Usage: <item-page .card_id=${card} .item_id=${item}></item-page>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { session } from "../device/session.js";
import { read_draft, read_setting, write_setting } from "../device/store.js";
import { attempt } from "../parts/attempt.js";
import { contested_note } from "../parts/contested_note.js";
import { page_head, problem_note, say } from "../parts/page_head.js";
import { kind_words, result_words, stop_words } from "../parts/status_words.js";
import { step_lines } from "../parts/step_lines.js";
import { Problem } from "../rules/problems.js";
import { may } from "../rules/sign_off.js";
import { DraftKeeper } from "./draft_keeper.js";
import { StoreWatch, card_line, find_item, next_item, open_card, past_of } from "./open_card.js";
import { recorded } from "./recorded.js";
import { asks_code, roles_today, sign_and_record, statement_for, why_not } from "./record.js";
import { empty_draft } from "./result_body.js";
import "./corrective-form.js";
import "./inspect-form.js";
import "./send-back-form.js";

const TOOLS = "tool serials";

/** Which form an item's page opens with. */
export function mode_for(status, roles) {
  if (!may(roles, "result")) return "read";
  if (status === "disputed") return may(roles, "settlement") ? "settlement" : "read";
  return { open: "result", corrected: "result", rejected: "result", failed: "corrective_action" }[status] ?? "read";
}

class ItemPage extends LitElement {
  static properties = {
    card_id: { attribute: false },
    item_id: { attribute: false },
    view: { state: true },
    draft: { state: true },
    asked: { state: true },
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
    this.past = await past_of(view, this.item_id);
    this.draft ??= { ...empty_draft(), ...await read_draft(this.card_id, this.item_id) };
    this.view = view;
    const seen = this.asked?.entry.supersedes.join();
    if (!this.busy && seen !== undefined && seen !== find_item(view, this.item_id).state.heads.join()) {
      this.asked = null;
      this.problem = new Problem("covers_changed").sentence;
    }
  }

  change(draft) {
    this.asked = null;
    this.draft = draft;
    this.keeper.change(this.card_id, this.item_id, draft);
  }

  before_camera = () => this.keeper.before_camera(this.card_id, this.item_id, this.draft);

  /* What was tapped; when the code must be given first, it waits in `asked` and nothing of the draft is touched. */
  async tapped(kind, found, body) {
    if (this.busy) return;
    const signed = kind === "settlement" ? { ...body, statement: statement_for(this.view, kind, body) } : body;
    const words = body.result ? result_words(body.result) : kind_words(kind);
    const entry = { kind, item: this.item_id, supersedes: found.state.heads, body: signed };
    this.problem = why_not(this.view, kind, this.item_id)?.sentence ?? "";
    if (this.problem) return;
    if (asks_code(kind)) this.asked = { entry, found, words };
    else await this.keep({ entry, found, words }, null);
  }

  async keep({ entry, found, words }, secret) {
    if (this.busy) return;
    const { draft } = this;
    this.keeper.forget();
    if (!await attempt(this, () => sign_and_record(this.view, entry, secret))) {
      this.keeper.change(this.card_id, this.item_id, draft);
      return;
    }
    this.asked = null;
    say(`Saved on this phone: ${found.state.number} ${words}`);
    await this.remember_tools(found.item, entry.body.readings);
    await this.go_on(entry.kind);
  }

  stop_asking() {
    this.asked = null;
    this.problem = "";
  }

  async remember_tools(item, readings) {
    const used = item.fields.filter(({ field, tool }) => tool && readings?.[field]?.tools.length)
      .map(({ field, tool }) => [tool, readings[field].tools[0].serial]);
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

  form(found, mode) {
    if (mode === "read") {
      return html`${this.reading_only(found)}
        <details ?open=${!found.state.heads.length}><summary>The step, as the card says it</summary>${step_lines(found.item)}</details>`;
    }
    const { draft, busy, problem, before_camera } = this;
    const { person } = session;
    const asking = this.asked ? `Sign: ${this.asked.words.toLowerCase()}` : null;
    const drafted = (event) => this.change(event.detail);
    const recorded = (event) => this.tapped(mode, found, event.detail);
    const given = (event) => this.keep(this.asked, event.detail);
    const stop = () => this.stop_asking();
    if (mode === "corrective_action") {
      return html`<corrective-form .draft=${draft} .busy=${busy} .refusal=${problem} .person=${person} .asking=${asking}
        .before_camera=${before_camera} @draft=${drafted} @record=${recorded} @given=${given}
        @cancelled=${stop}></corrective-form>`;
    }
    if (mode === "rejection") {
      return html`<send-back-form .draft=${draft} .busy=${busy} .refusal=${problem} .person=${person} .asking=${asking}
        .before_camera=${before_camera} @draft=${drafted} @record=${recorded} @given=${given} @cancelled=${stop}
        @leave=${() => this.change({ ...draft, mode: null })}></send-back-form>`;
    }
    return html`
      ${mode === "settlement" ? html`<section class="found"><h2>Settle the dispute</h2>
        <p>${statement_for(this.view, "settlement")}</p></section>` : nothing}
      <inspect-form ?settles=${mode === "settlement"} .item=${found.item} .draft=${draft} .serials=${this.serials}
        .tools=${this.view.tools} .past=${this.past} .busy=${busy} .refusal=${problem} .person=${person} .asking=${asking}
        .tone=${this.asked?.entry.body.result ?? ""} .before_camera=${before_camera} @draft=${drafted} @record=${recorded}
        @given=${given} @cancelled=${stop}></inspect-form>`;
  }

  reading_only({ state }) {
    const roles = roles_today();
    if (state.status === "disputed") return html`<p class="told">An inspector settles it, having seen both.</p>`;
    if (!may(roles, "result")) return html`<p class="quiet">You can read this card; a mechanic or inspector records.</p>`;
    const next = next_item(this.view, this.item_id);
    return html`
      <div class="ways">
        ${next ? html`<a class="button primary" href="#/card/${this.card_id}/item/${next}">Next item</a>` : nothing}
        <button type="button" @click=${() => this.change({ ...this.draft, mode: "result" })}>Record this item again</button>
        ${why_not(this.view, "rejection", this.item_id) ? nothing : html`<button type="button"
          @click=${() => this.change({ ...this.draft, mode: "rejection" })}>Send it back</button>`}
      </div>
      <p class="quiet">A new entry replaces the one shown here; both stay in the history.</p>`;
  }

  /* A draft to send an item back is no use once somebody may not, or something else has arrived. */
  mode(status) {
    const { mode } = this.draft;
    const possible = mode && (mode !== "rejection" || this.busy || !why_not(this.view, mode, this.item_id));
    return possible ? mode : mode_for(status, roles_today());
  }

  render() {
    const { view, draft } = this;
    if (!view?.template || !draft) return html`<p class="quiet">Opening the item …</p>`;
    const found = find_item(view, this.item_id);
    const { item, state, zone } = found;
    const mode = this.mode(state.status);
    return html`
      ${page_head({
        back: `#/card/${this.card_id}`, back_words: card_line(view),
        above: `${state.number} · ${zone.title}`, title: item.title, item: state,
      })}
      ${contested_note(this.card_id, view.state)}
      ${item.countersign.needed && state.status !== "disputed" ? html`<p class="second-person"><strong>A second person countersigns this item:</strong>
        ${item.countersign.reason}</p>` : nothing}
      ${recorded(view, found)}
      ${problem_note(state.problems.map((code) => `This item ${stop_words(code)}.`))}
      ${this.form(found, mode)}`;
  }
}

customElements.define("item-page", ItemPage);
