/*
 * The run-out of a shaft drawn round the turn, much enlarged: what the dial showed, and the circle that fits it best.
 * A drawing only: every number that is judged stands beside it, worked out exactly by the rules.
 */
import { html, nothing, svg } from "../vendor/lit.js";

const MIDDLE = 150;
const ROUND = 82;
const SWING = 36;
const NAMES_AT = 135;

/** `angles` in degrees and `values` as typed, one for each station; `found` is what was derived from them, or {}. */
export function polar_plot(stations, angles, values, found = {}) {
  const numbers = values.map(Number);
  const mean = numbers.reduce((sum, value) => sum + value, 0) / numbers.length;
  const most = Math.max(...numbers.map((value) => Math.abs(value - mean)));
  const scale = most > 0 ? SWING / most : 0;
  const points = numbers.map((value, index) => place(Number(angles[index]), ROUND + (value - mean) * scale));
  return html`
    <svg class="plot polar" viewBox="0 0 300 300" role="img" aria-label=${words(stations, values, found)}>
      <circle class="grid" cx=${MIDDLE} cy=${MIDDLE} r=${ROUND} />
      <path class="grid" d="M${MIDDLE} 28V272M28 ${MIDDLE}H272" />
      ${found.eccentricity && found.shape !== "round" ? fit(found, scale) : nothing}
      <polygon class="taken" points=${points.map((point) => point.join()).join(" ")} />
      ${points.map(([x, y]) => svg`<circle class="dot" cx=${x} cy=${y} r="5" />`)}
      ${stations.map((name, index) => label(name, Number(angles[index])))}
    </svg>
    <p class="quiet plot-key">Solid: what the dial showed, enlarged. Thin circle: perfectly round.${
      found.eccentricity && found.shape !== "round" ? " Dashed: a round shaft off its centre, with the line to its high spot." : ""}</p>`;
}

function fit({ eccentricity, high_spot }, scale) {
  const [x, y] = place(Number(high_spot), Number(eccentricity) * scale);
  const [to_x, to_y] = place(Number(high_spot), ROUND + SWING);
  return svg`<circle class="fit" cx=${x} cy=${y} r=${ROUND} />
    <path class="high" d="M${MIDDLE} ${MIDDLE}L${to_x} ${to_y}" />`;
}

/* 0 degrees is at the top and angles grow clockwise, as on a clock seen by whoever reads the dial. */
function place(degrees, radius) {
  const turn = (degrees * Math.PI) / 180;
  return [MIDDLE + radius * Math.sin(turn), MIDDLE - radius * Math.cos(turn)].map((one) => Number(one.toFixed(1)));
}

function label(name, degrees) {
  const [x, y] = place(degrees, NAMES_AT);
  return svg`<text x=${x} y=${y} text-anchor="middle" dominant-baseline="middle">${name.slice(0, 8)}</text>`;
}

function words(stations, values, { high_spot }) {
  const told = stations.map((name, index) => `${name}: ${values[index]}`).join(", ");
  return `Run-out round the turn. ${told}.${high_spot ? ` High spot at ${high_spot} degrees.` : ""}`;
}
