/*
 * What this phone keeps: unsent work, photos waiting, whether the browser promises to keep it, refused entries,
 * and what belongs to the phone: look, update, who is signed in.
 *
 * Usage: <phone-page></phone-page>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { end_key } from "../device/desk_api.js";
import { read_fact } from "../device/drafts.js";
import { session } from "../device/session.js";
import { answer_key, export_unsent, held_log, keys_elsewhere, refused_entries, storage_facts } from "../device/store.js";
import { syncer } from "../device/sync.js";
import { updates } from "../device/update.js";
import { attempt } from "../parts/attempt.js";
import { page_head, problem_note, say } from "../parts/page_head.js";
import { kind_words, time_words } from "../parts/status_words.js";
import { storage_words } from "../parts/storage_words.js";
import { oldest_words, sync_words, unsent_words } from "../parts/unsent-line.js";
import { Watch } from "../parts/watch.js";
import { may } from "../rules/sign_off.js";
import { StoreWatch } from "./open_card.js";
import "./own-password.js";
import "./phone-log.js";
import "./phone-signing.js";
import { THEMES, choose_look, chosen_theme, wears_gloves } from "./theme.js";

const ROOT_DIGITS = 12;

class PhonePage extends LitElement {
  static properties = {
    storage: { state: true },
    refused: { state: true },
    log: { state: true },
    agreed: { state: true },
    elsewhere: { state: true },
    exported: { state: true },
    busy: { state: true },
    problem: { state: true },
  };

  constructor() {
    super();
    this.refused = [];
    this.elsewhere = [];
    new StoreWatch(this);
    new Watch(this, [[syncer, "status"], [updates, "ready"]], () => this.requestUpdate());
  }

  createRenderRoot() {
    return this;
  }

  async read() {
    [this.storage, this.refused, this.log, this.agreed, this.elsewhere] = await Promise.all([
      storage_facts(), refused_entries(), held_log(), read_fact("last_sync_at"),
      session.person ? keys_elsewhere(session.person.person) : [],
    ]);
  }

  async is_mine({ kid }) {
    if (await attempt(this, () => answer_key(kid))) say("This phone remembers that the other key is yours");
  }

  async is_not_mine({ kid }) {
    const done = await attempt(this, async () => {
      await session.follow();
      await end_key(kid, "Not set up by me.");
      await answer_key(kid);
    });
    if (!done) return;
    say("That key is ended. Change your password now, and tell the shop’s author.");
    syncer.request();
  }

  another_phone(key) {
    return html`
      <section class="found elsewhere"><h2>A key of yours</h2>
        <p><strong>Another phone signs as you: ${key.label || "a phone"}, since ${time_words(key.enrolled_at)}.</strong></p>
        <p class="quiet">Key ${key.kid.slice(0, 12)}. What is signed with it counts as signed by you.</p>
        <div class="ways">
          <button type="button" ?disabled=${this.busy} @click=${() => this.is_mine(key)}>It is mine</button>
          <button type="button" class="decide" ?disabled=${this.busy} @click=${() => this.is_not_mine(key)}>It is not mine: end that key</button>
        </div></section>`;
  }

  async export() {
    await attempt(this, async () => {
      const url = URL.createObjectURL(new Blob([await export_unsent()], { type: "application/json" }));
      const link = Object.assign(document.createElement("a"), { href: url, download: "witnessmark-unsent.json" });
      link.click();
      setTimeout(() => URL.revokeObjectURL(url), 60000);
      this.exported = true;
    });
  }

  async leave() {
    if (await attempt(this, () => session.leave_server({ exported: true }))) location.hash = "#/";
  }

  async sign_out() {
    if (await attempt(this, () => session.sign_out())) location.hash = "#/";
  }

  sending() {
    const { status } = syncer;
    const words = sync_words(status, session.person);
    const signed_out = status.state === "signed_out" && session.person;
    const agreed = status.last_sync_at ?? this.agreed;
    return html`
      <section><h2>Unsent</h2>
        <p class="told"><strong>${unsent_words(status)}${oldest_words(status, Date.now())}.</strong></p>
        ${words ? html`<p>${words}.</p>` : nothing}
        ${status.progress ? html`<progress aria-label="Sending" max=${status.progress.total || 1} value=${status.progress.done}></progress>` : nothing}
        ${signed_out ? this.connect() : status.problem ? html`<p class="problem">${status.problem.sentence}</p>` : nothing}
        <p class="quiet">${agreed ? `Last agreed with the server: ${time_words(agreed)}` : "Not yet agreed with the server."}
          ${this.log ? html`<br>Last checkpoint of its log: ${this.log.size} records, <span class="whole">${this.log.root.slice(0, ROOT_DIGITS)} …</span>` : nothing}</p>
        <div class="ways">
          <button type="button" ?disabled=${status.state === "sending"} @click=${() => syncer.now()}>Send now</button>
          <button type="button" ?disabled=${this.busy} @click=${this.export}>Export unsent work as a file</button>
        </div></section>`;
  }

  /* A hand-over without a network, or a session that has run out: who holds the phone is not known there. */
  connect() {
    return html`
      <p>The server does not know yet that ${session.person.name} has this phone. Nothing is sent or fetched until then.</p>
      <div class="ways"><a class="button primary" href="#/hand-over">${may(session.person.roles, "result") ? "Give the signing code" : "Sign in again"}</a></div>`;
  }

  leaving() {
    if (!this.exported) return nothing;
    return html`
      <section class="found"><h2>Another server?</h2>
        <p>Only if this phone is to work with another server: it then forgets this one's cards and everything unsent.
          The file you exported is the only copy. See that it is there first.</p>
        <button type="button" ?disabled=${this.busy} @click=${this.leave}>Forget this server on this phone</button></section>`;
  }

  refusals() {
    if (!this.refused.length) return nothing;
    return html`
      <section class="found"><h2>Refused by the server</h2>
        <p>These entries are kept here and on the server, but do not count.</p>
        <ul>${this.refused.map(({ card, item, kind, problem, made_at }) => html`
          <li>${item ? html`<a href="#/card/${card}/item/${item}">${kind_words(kind)}</a>` : kind_words(kind)},
            ${time_words(made_at)}: ${problem?.sentence ?? "no reason given"}</li>`)}</ul>
        ${session.person ? html`<a class="button" href="#/refused">See what is decided about them</a>` : nothing}</section>`;
  }

  look() {
    const chosen = chosen_theme();
    const take = (name, value) => { choose_look(name, value); this.requestUpdate(); };
    return html`
      <section><fieldset class="field"><legend>Look</legend><div class="options">
        ${Object.entries(THEMES).map(([theme, words]) => html`
          <label class="option"><input type="radio" name="theme" .checked=${theme === chosen} @change=${() => take("theme", theme)}>
            <span>${words}</span></label>`)}</div></fieldset>
        <label class="option wide"><input type="checkbox" .checked=${wears_gloves()}
          @change=${(event) => take("gloves", event.target.checked ? "yes" : "no")}><span>Larger targets, for gloves</span></label>
      </section>`;
  }

  person() {
    if (!session.person) return nothing;
    return html`
      <section><h2>Signed in</h2><p>${session.person.name}, ${session.person.roles.join(" and ")}</p>
        <div class="ways"><a class="button" href="#/hand-over">Hand over</a>
          <button type="button" @click=${this.sign_out}>Sign out</button></div>
        <own-password></own-password></section>`;
  }

  render() {
    return html`
      ${page_head({ title: "What this phone keeps" })}
      <phone-log></phone-log>
      ${problem_note(this.problem)} ${this.elsewhere.map((key) => this.another_phone(key))} ${this.sending()} ${this.leaving()} ${this.refusals()}
      <section><h2>Storage</h2><p>${this.storage ? storage_words(this.storage) : "Asking the browser …"}</p></section>
      ${updates.waiting ? html`<section class="found"><h2>A new version is ready</h2>
        <button type="button" @click=${() => attempt(this, () => updates.apply())}>Take the new version</button></section>` : nothing}
      <phone-signing .person=${session.person}></phone-signing>
      ${this.look()} ${this.person()}`;
  }
}

customElements.define("phone-page", PhonePage);
