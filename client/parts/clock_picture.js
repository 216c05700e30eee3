/*
 * The disc of a two-blade rotor seen as a clock: both runs as arms, the trial weight and the correction at the rim.
 */
import { html, nothing, svg } from "../vendor/lit.js";
import { clock_degrees } from "../rules/balance.js";
import { compare, ratio, show } from "../rules/ratio.js";
import { drawn } from "./drawn.js";

const RIM = 44;
const NAMED = { 12: [0, -51], 3: [54, 3], 6: [0, 58], 9: [-54, 3] };
const HOURS = [12, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11];

/**
 * `runs` and `weights` [{name, size, clock, words}]: typed texts that are numbers, clocks from 0 to 12; `name` is its
 * class and the shape of its mark, `words` stand in the legend.
 */
export function clock_picture({ runs, weights }) {
  const larger = (one, other) => (compare(one, other) < 0 ? other : one);
  const full = runs.map(({ size }) => ratio(size)).reduce(larger, ratio("0"));
  return html`
    <figure class="clock-picture">
      <svg viewBox="-60 -60 120 120" aria-hidden="true">
        <path class="blade" d="M-4 0 V-40 H4 V40 H-4 Z" />
        <circle class="rim" r=${RIM} />
        ${HOURS.map(hour)}
        <text class="blade-name" y="-27">A</text><text class="blade-name" y="31">B</text>
        ${runs.map((run) => turned(run.clock, arm(run, drawn(ratio(run.size), full, RIM - 5))))}
        ${weights.map((weight) => turned(weight.clock, svg`<g class=${weight.name}>${MARKS[weight.name]}</g>`))}
        <circle class="hub" r="3" />
      </svg>
      <figcaption>${[...runs, ...weights].map(({ name, words }) => html`
        <span class="whole"><svg viewBox="-8 -52 16 16" aria-hidden="true"><g class=${name}>${MARKS[name]}</g></svg>
          ${words}</span>`)}</figcaption>
    </figure>`;
}

const MARKS = {
  first: svg`<circle r="4" cy="-44" />`,
  second: svg`<circle r="4" cy="-44" />`,
  trial: svg`<rect x="-5" y="-49" width="10" height="10" />`,
  correction: svg`<path d="M-7 -51 H7 L0 -38 Z" />`,
};

function hour(number) {
  const deep = number % 3 === 0;
  return svg`<g transform="rotate(${number * 30})"><line class="hour" y1=${-RIM} y2=${deep ? -RIM - 5 : -RIM - 3} /></g>
    ${deep ? svg`<text x=${NAMED[number][0]} y=${NAMED[number][1]}>${number}</text>` : nothing}`;
}

function turned(clock, mark) {
  return svg`<g transform="rotate(${show(clock_degrees(clock), 1)})">${mark}</g>`;
}

function arm({ name }, long) {
  return svg`<g class=${name}><line y1="0" y2="-${long}" /><circle r="4" cy="-${long}" /></g>`;
}
