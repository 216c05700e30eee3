/*
 * That a card changed after it was signed off: said on every page of the card, loudly. Template, no element.
 */
import { html, nothing } from "../vendor/lit.js";

/** For the `state` of the card with this id; `here` on the release page itself, which needs no way to it. */
export function contested_note(card, state, here = false) {
  if (state.status !== "contested") return nothing;
  return html`
    <section class="found contested-note" role="note"><h2>Contested</h2>
      <p>Something about this aircraft arrived after the card was signed off. Do not fly it on this card:
        an inspector must look again and sign anew.</p>
      ${here ? nothing : html`<a class="button" href="#/card/${card}/release">See what changed</a>`}</section>`;
}
