/*
 * A decision that is never taken without its reason: closed until touched, then a question, then the button.
 */
import { html, nothing } from "../vendor/lit.js";

/**
 * `decide(reason, inputs)` is called with the trimmed reason and the form's inputs by name.
 * `id` is unique on the page, `words` say what will happen, `more` is a template of further inputs.
 */
export function reasoned({ id, summary, words, button, busy, decide, question = "Why", more = nothing }) {
  const submit = (event) => {
    event.preventDefault();
    const inputs = event.target.elements;
    decide(inputs.reason.value.trim(), inputs);
  };
  return html`
    <details class="decision"><summary>${summary}</summary>
      <form @submit=${submit}>
        <p>${words}</p>
        ${more}
        <label class="line" for="${id}-reason">${question}</label>
        <textarea id="${id}-reason" name="reason" rows="2" maxlength="400" required></textarea>
        <button class="decide" ?disabled=${busy}>${button}</button>
      </form></details>`;
}

/** What a page says while its facts come from the server, or when they cannot be had: `again()` asks once more. */
export function from_server({ busy, again }) {
  return busy ? html`<p class="quiet">Asking the server …</p>`
    : html`<p>This page needs the shop’s server.</p><button type="button" @click=${again}>Ask again</button>`;
}
