/*
 * The cylinders of an engine side by side, each filled as far as it keeps its pressure, with the limit across.
 * Touch one to go to it.
 */
import { html, nothing, svg } from "../vendor/lit.js";
import { compare } from "../rules/ratio.js";
import { drawn } from "./drawn.js";

// As the bore is drawn below: from its foot up.
const [BOTTOM, LENGTH] = [92, 84];

/**
 * `cylinders` [{name, typed, kept}], `kept` the exact pressure or null; `supply` and `limit` (or null) exact too, all
 * in one unit. `id(index)` names the buttons, `current` is the index of the open one, `pick(index)` opens another.
 */
export function cylinder_bars({ cylinders, supply, limit, current, id, pick }) {
  return html`
    <div class="cylinders">${cylinders.map(({ name, typed, kept }, index) => {
      const below = kept !== null && limit !== null && compare(kept, limit) < 0;
      return html`
        <button type="button" id=${id(index)} class=${below ? "cylinder out" : "cylinder"}
          aria-pressed=${index === current} aria-label="${name}: ${typed || "not taken"}${below ? ", below the limit" : ""}"
          @click=${() => pick(index)}>
          ${barrel(kept, supply, limit)}
          <span class="typed">${below ? "✗ " : ""}${typed || "–"}</span>
          <span class="number-of">${index + 1}</span>
        </button>`;
    })}</div>`;
}

function barrel(kept, supply, limit) {
  const level = (value) => BOTTOM - Number(drawn(value, supply, LENGTH));
  return html`
    <svg viewBox="0 0 40 100" aria-hidden="true">
      <path class="fin" d="M1 18 H39 M1 30 H39 M1 42 H39 M1 54 H39 M1 66 H39 M1 78 H39" />
      <rect class="bore" x="7" y="8" width="26" height="84" rx="2" />
      ${kept === null ? nothing
        : svg`<rect class="kept" x="9" y=${level(kept)} width="22" height=${BOTTOM - level(kept)} />`}
      ${limit === null ? nothing
        : svg`<g transform="translate(0 ${level(limit)})">
        <path class="limit-edge" d="M0 0 H40" /><path class="limit" d="M0 0 H40" /></g>`}
    </svg>`;
}
