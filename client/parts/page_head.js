/*
 * What pages share: the head with the way back, and the place where a refusal is said.
 */
import { html, nothing } from "../vendor/lit.js";
import "./witness-mark.js";

/** The way back and the title of a page. `above` is a small line over the title, `item` the state of its mark. */
export function page_head({ back = "#/", back_words = "Work cards", above, title, item }) {
  return html`
    ${back ? html`<nav aria-label="Back"><a class="back" href=${back}>${back_words}</a></nav>` : nothing}
    <div class=${item ? "title-block marked" : "title-block"}>
      ${above ? html`<p class="above">${above}</p>` : nothing}
      <h1>${title}</h1>
      ${item ? html`<witness-mark .item=${item} words></witness-mark>` : nothing}
    </div>`;
}

/** Refusals in words, announced at once: one sentence or several. */
export function problem_note(sentences) {
  const said = [sentences].flat().filter(Boolean);
  return html`<div role="alert">${said.map((sentence) => html`<p class="problem">${sentence}</p>`)}</div>`;
}

/** Say something on whatever page comes next; `done` marks it as done: "Saved on this phone". */
export function say(words, done = true) {
  const place = document.getElementById("said");
  place.textContent = words;
  place.className = done ? "done" : "";
  clearTimeout(say.timer);
  say.timer = setTimeout(() => { place.textContent = ""; }, 6000);
}
