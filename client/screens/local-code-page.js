/*
 * The local code: which sentences are signed here, word for word, with their sources. An author chooses one for the
 * cards that are issued from then on, and may change a sentence: that makes a local code of its own, and nothing old moves.
 *
 * Usage: <local-code-page></local-code-page>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { choose_local_code, keep_local_code, local_code_of, local_codes } from "../device/desk_api.js";
import { session } from "../device/session.js";
import { attempt } from "../parts/attempt.js";
import { WHEN, certificate_words, confirm_note } from "../parts/local_code_words.js";
import { page_head, problem_note, say } from "../parts/page_head.js";
import { from_server } from "../parts/reasoned.js";
import { check_local_code } from "../rules/local_code.js";
import { head_form, statement_form } from "./local_code_forms.js";

class LocalCodePage extends LitElement {
  static properties = {
    codes: { state: true },
    chosen: { state: true },
    seen: { state: true },
    code: { state: true },
    changing: { state: true },
    busy: { state: true },
    problem: { state: true },
  };

  createRenderRoot() {
    return this;
  }

  connectedCallback() {
    super.connectedCallback();
    this.load();
  }

  /* Show `revision`, or the one in use. */
  load(revision) {
    return attempt(this, async () => {
      const { chosen, codes } = await local_codes();
      const seen = revision ?? chosen ?? codes[0]?.revision;
      this.code = await local_code_of(seen);
      [this.codes, this.chosen, this.seen, this.changing] = [codes, chosen, seen, null];
    });
  }

  async choose() {
    if (!await attempt(this, () => choose_local_code(this.seen))) return;
    say(`In use: ${this.code.title}`);
    await this.load(this.seen);
    scrollTo(0, 0);
  }

  async keep(changed) {
    let revision;
    const kept = await attempt(this, async () => {
      check_local_code(changed);
      ({ revision } = await keep_local_code(changed));
    });
    if (!kept) return;
    say("Kept as a wording of its own");
    await this.load(revision);
    scrollTo(0, 0);
  }

  keep_statement(key, changed) {
    return this.keep({ ...this.code, title: this.own_title(), statements: { ...this.code.statements, [key]: changed } });
  }

  /* A shipped title over changed words would mislead. */
  own_title() {
    const { title } = this.code;
    return title.endsWith("own wording") ? title : `${title}, own wording`;
  }

  async change(what) {
    this.changing = what;
    this.problem = "";
    await this.updateComplete;
    this.querySelector("#text, #title")?.focus();
  }

  choice({ revision, title, confirm }) {
    return html`
      <label class="option"><input type="radio" name="code" .checked=${revision === this.seen}
        @change=${() => this.load(revision)}><span>${title}
        <small>${revision.slice(0, 8)}${revision === this.chosen ? html`, <b>in use</b>` : nothing}${confirm ? ", to be confirmed" : nothing}</small></span></label>`;
  }

  get keeps() {
    return session.person.roles.includes("author");
  }

  statement(key) {
    const { text, source } = this.code.statements[key];
    if (this.changing === key) {
      return statement_form({ key, statement: this.code.statements[key], busy: this.busy, problem: this.problem,
        keep: (changed) => this.keep_statement(key, changed), leave: () => this.change(null) });
    }
    return html`
      <section><h2>${WHEN[key]}</h2>
        <blockquote class="statement told">${text}</blockquote>
        <p class="quiet">Source: ${source}<br>${certificate_words(this.code.statements[key])}</p>
        ${this.keeps ? html`<button type="button" @click=${() => this.change(key)}>Change this sentence</button>` : nothing}</section>`;
  }

  head() {
    const { code } = this;
    if (this.changing === "head") {
      return head_form({ code, busy: this.busy, problem: this.problem, keep: (changed) => this.keep({ ...code, ...changed }),
        leave: () => this.change(null) });
    }
    return html`
      <section><h2>${code.title}</h2>
        ${code.confirm ? confirm_note() : nothing}
        <p>${code.control_persons === 2 ? "Two different people countersign" : "One person countersigns"} an item that disturbs engine
          or flight controls.</p>
        ${this.keeps ? html`<div class="ways">
          ${this.seen === this.chosen ? nothing : html`<button type="button" class="primary" ?disabled=${this.busy} @click=${this.choose}>
            Use these sentences from now on</button>`}
          <button type="button" @click=${() => this.change("head")}>Change name and countersigning</button></div>` : nothing}</section>`;
  }

  render() {
    return html`
      ${page_head({ title: "Local code" })}
      ${this.changing ? nothing : problem_note(this.problem)}
      ${this.codes ? html`
        <p>The sentences that people sign here. A card keeps those in force when it was issued.</p>
        <div class="codes" role="radiogroup" aria-label="Local codes">${this.codes.map((one) => this.choice(one))}</div>
        ${this.head()} ${Object.keys(WHEN).map((key) => this.statement(key))}`
        : from_server({ busy: this.busy, again: () => this.load() })}`;
  }
}

customElements.define("local-code-page", LocalCodePage);
