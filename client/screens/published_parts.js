/*
 * The pieces of the page of published values: a choice, an answer with its source, lines to copy, a graded scale.
 */
import { html, live } from "../vendor/lit.js";
import { say } from "../parts/page_head.js";
import { unbroken } from "../parts/torque_words.js";

/** A titled choice. `groups` is [[title or "", [[value, words]]]]; `change(value)` takes the chosen value. */
export function chooser({ id, title, groups, chosen, change }) {
  const options = (list) => list.map(([value, words]) => html`
    <option value=${value} ?selected=${value === chosen}>${words}</option>`);
  return html`
    <div><label class="line" for=${id}>${title}</label>
      <select id=${id} @change=${(event) => change(event.target.value)}>
        ${groups.map(([name, list]) => (name
          ? html`<optgroup label=${name}>${options(list)}</optgroup>` : options(list)))}
      </select></div>`;
}

/** The same as buttons side by side, for a few `options` [[value, words]]. */
export function picker({ id, title, options, chosen, change }) {
  return html`
    <p class="line" id="${id}-label">${title}</p>
    <div class="options" role="radiogroup" aria-labelledby="${id}-label">${options.map(([value, words]) => html`
      <label class="option"><input type="radio" name=${id} value=${value} .checked=${live(value === chosen)}
        @change=${() => change(value)}><span>${words}</span></label>`)}
    </div>`;
}

/** A published value: `figure` large, `lines` of words under it, its `source`; or the Problem that there is none. */
export function answer({ title, figure, lines = [], source, problem }) {
  if (problem) {
    return html`
      <div class="set-to unset" role="status"><p class="quiet">${title}</p><p>${unbroken(problem.sentence)}</p></div>`;
  }
  return html`
    <div class="set-to" role="status"><p class="quiet">${title}</p><output>${figure}</output>
      ${lines.filter(Boolean).map((line) => html`<p>${line}</p>`)}
      <p class="quiet">Source: ${unbroken(source)}</p></div>`;
}

/** Lines for a card, closed until asked for. */
export function for_a_card(id, text) {
  return html`
    <details class="for-a-card"><summary>For a card</summary>
      <p class="quiet">Nothing is taken over by itself. Copy these lines into the field, then change what does not
        fit.</p>
      <pre id=${id} tabindex="0" aria-label="Lines for a card">${text}</pre>
      <button type="button" @click=${() => copy(id, text)}>Copy these lines</button>
    </details>`;
}

/* Some browsers give no access to what was copied: then the lines are marked, ready for the hand. */
async function copy(id, text) {
  try {
    await navigator.clipboard.writeText(text);
    say("Copied");
  } catch (refusal) {
    if (!(refusal instanceof DOMException || refusal instanceof TypeError)) throw refusal;
    getSelection().selectAllChildren(document.getElementById(id));
    say("The lines are marked. Copy them by hand.", false);
  }
}

/** A published scale: its grades, each with what it means. */
export function graded(title, { source, grades }) {
  return html`
    <h2>${title}</h2>
    <dl class="grades">${grades.map(({ grade, means }) => html`<dt>${grade}</dt><dd>${means}</dd>`)}</dl>
    <p class="quiet">Source: ${unbroken(source)}</p>`;
}
