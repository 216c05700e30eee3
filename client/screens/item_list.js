/*
 * Items of a card as a list of ways to them, each with a few words: what stops a release, what was done last.
 */
import { html } from "../vendor/lit.js";
import { find_item } from "./open_card.js";

/** `named` = [{item: id, words}], for an open card; `words` may be empty. */
export function item_list(view, named) {
  return html`
    <ul class="points">${named.map(({ item: id, words }) => {
      const { item, state } = find_item(view, id);
      return html`<li><a href="#/card/${view.card.card}/item/${id}"><strong>${state.number} ${item.title}</strong> ${words}</a></li>`;
    })}</ul>`;
}
