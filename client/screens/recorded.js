/*
 * What is recorded about one item: the entries that stand, side by side when they disagree, and who countersigned.
 */
import { html, nothing, repeat } from "../vendor/lit.js";
import { entry_lines } from "../parts/entry_lines.js";

/** For an item `found` by find_item in an open card. */
export function recorded({ entries }, { item, state }) {
  if (!state.heads.length) return nothing;
  const heads = state.heads.map((id) => entries.get(id));
  const more = state.countersigners_needed > 1 && state.countersignature === "needed";
  return html`
    <section class=${heads.length > 1 ? "side-by-side" : ""} aria-label="Recorded so far">
      <h2>${state.status === "disputed" ? "These entries disagree" : "Recorded"}</h2>
      <div class="entries">${repeat(state.heads, (id) => id, (id, index) => entry_lines(item, heads[index]))}</div>
      ${state.countersigned_by.map((id) => html`<p class="who">Countersigned by ${entries.get(id).author.name}</p>`)}
      ${more ? html`<p class="quiet">This item disturbs controls: ${state.countersigners_needed} different persons
        countersign it.</p>` : nothing}
    </section>
    ${sent_back(entries, item, heads)}`;
}

/* What the inspector sent back: the next look begins where the last one was not enough. */
function sent_back(entries, item, heads) {
  const ids = heads.filter(({ kind }) => kind === "rejection").flatMap(({ supersedes }) => supersedes);
  const known = ids.filter((id) => entries.has(id));
  if (!known.length) return nothing;
  return html`
    <details><summary>What was sent back</summary>
      <div class="entries">${known.map((id) => entry_lines(item, entries.get(id)))}</div></details>`;
}
