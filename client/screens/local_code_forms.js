/*
 * The forms of a local code: one sentence with its source, and what stands over all of them. Templates, no elements.
 */
import { html, nothing } from "../vendor/lit.js";
import { WHEN } from "../parts/local_code_words.js";
import { problem_note } from "../parts/page_head.js";
import { SLOTS } from "../rules/local_code.js";

/** One sentence to be changed. `keep(statement)` takes {text, source, certificates}. */
export function statement_form({ key, statement, busy, problem, keep, leave }) {
  const submit = (event) => {
    event.preventDefault();
    const { text, source, certificates } = event.target.elements;
    const kinds = certificates.value.split("\n").map((kind) => kind.trim()).filter(Boolean);
    keep({ text: text.value.trim(), source: source.value.trim(), certificates: kinds });
  };
  return html`
    <form class="found kept" @submit=${submit}><h2>${WHEN[key]}</h2>
      <label class="line" for="text">The sentence, exactly as signed</label>
      <textarea id="text" name="text" rows="6" maxlength="2000" required .value=${statement.text}></textarea>
      <p class="quiet">Filled in by the app: ${SLOTS.map((slot) => `{${slot}}`).join(" ")}</p>
      <label class="line" for="source">Its source</label>
      <textarea id="source" name="source" rows="2" maxlength="400" required .value=${statement.source}></textarea>
      <label class="line" for="certificates">Kinds of certificate that may sign it, one a line</label>
      <textarea id="certificates" name="certificates" rows="2" .value=${statement.certificates.join("\n")}></textarea>
      <p class="quiet">Written as on the page of the person. Empty: every inspector may.</p>
      ${ending({ busy, problem, leave })}
    </form>`;
}

/** Name, confirmation and number of countersigners. `keep` takes {title, confirm, control_persons}. */
export function head_form({ code, busy, problem, keep, leave }) {
  const submit = (event) => {
    event.preventDefault();
    const { title, confirmed, two } = event.target.elements;
    keep({ title: title.value.trim(), confirm: !confirmed.checked, control_persons: two.checked ? 2 : 1 });
  };
  return html`
    <form class="found kept" @submit=${submit}><h2>Name and countersigning</h2>
      <label class="line" for="title">Name of this local code</label>
      <input id="title" name="title" maxlength="120" autocomplete="off" required .value=${code.title}>
      <label class="option wide"><input type="checkbox" name="confirmed" .checked=${!code.confirm}>
        <span>Our authority has confirmed these sentences</span></label>
      <label class="option wide"><input type="checkbox" name="two" .checked=${code.control_persons === 2}>
        <span>Two people countersign engine and flight controls</span></label>
      ${ending({ busy, problem, leave })}
    </form>`;
}

function ending({ busy, problem, leave }) {
  return html`
    ${problem ? problem_note(problem) : nothing}
    <p>It is kept as a local code of its own. It is in use only when you choose it.</p>
    <button class="primary" ?disabled=${busy}>Keep it</button>
    <div class="ways"><button type="button" @click=${leave}>Leave it as it was</button></div>`;
}
