/*
 * Readings along a row of stations against their limit and the last inspection: wear along a blade, dents. A drawing only.
 */
import { html, nothing, svg } from "../vendor/lit.js";

const [WIDE, HIGH, LEFT, RIGHT, TOP, BOTTOM] = [320, 190, 46, 12, 14, 44];

/**
 * `values` as typed, "" where nothing is taken; `limits` {min, max} texts or null; `last` the values of the last
 * inspection, or [] when there are none.
 */
export function profile_plot({ stations, values, limits, unit, last = [] }) {
  const ends = [limits?.min, limits?.max].filter((end) => end !== null && end !== undefined).map(Number);
  const known = [...values, ...last].filter((text) => text !== "" && text !== null && text !== undefined).map(Number);
  const range = span([...known, ...ends]);
  if (!known.length || !range) return nothing;
  const x = (index) => LEFT + ((WIDE - LEFT - RIGHT) * (index + 0.5)) / stations.length;
  const y = (value) => TOP + (HIGH - TOP - BOTTOM) * (1 - (value - range.low) / (range.high - range.low));
  return html`
    <svg class="plot profile" viewBox="0 0 ${WIDE} ${HIGH}" role="img" aria-label=${words(stations, values, unit)}>
      <path class="grid" d="M${LEFT} ${TOP}V${HIGH - BOTTOM}H${WIDE - RIGHT}" />
      ${[range.least, range.most].map((value) => svg`<text x=${LEFT - 4} y=${y(value)} text-anchor="end" dominant-baseline="middle">${short(value)}</text>`)}
      ${ends.map((end) => svg`<path class="limit" d="M${LEFT} ${y(end)}H${WIDE - RIGHT}" />
        <text x=${LEFT + 6} y=${y(end) + (y(end) > HIGH / 2 ? -5 : 14)}>limit ${end}</text>`)}
      ${line("before", last, x, y)}
      ${line("taken", values, x, y)}
      ${stations.map((name, index) => svg`<text x=${x(index)} y=${HIGH - BOTTOM + (index % 2 && stations.length > 5 ? 32 : 18)} text-anchor="middle">${name.slice(0, 10)}</text>`)}
    </svg>
    ${last.length ? html`<p class="quiet plot-key">Solid: now. Dashed: last inspection.</p>` : nothing}`;
}

function line(name, values, x, y) {
  const points = values.map((text, index) => [text, index]).filter(([text]) => text !== "" && text !== null && text !== undefined)
    .map(([text, index]) => [x(index), y(Number(text))].map((one) => Number(one.toFixed(1))));
  if (!points.length) return nothing;
  return svg`<polyline class=${name} points=${points.map((point) => point.join()).join(" ")} />
    ${name === "taken" ? points.map(([a, b]) => svg`<circle class="dot" cx=${a} cy=${b} r="4.5" />`) : nothing}`;
}

/* The least and the most there is, and the range that is drawn: an eighth more on both sides. */
function span(numbers) {
  if (!numbers.every(Number.isFinite) || !numbers.length) return null;
  const [low, high] = [Math.min(...numbers), Math.max(...numbers)];
  const edge = (high - low) / 8 || Math.abs(high) / 8 || 1;
  return { least: low, most: high, low: low - edge, high: high + edge };
}

const short = (value) => Number(value.toPrecision(3)).toString();

function words(stations, values, unit) {
  return stations.map((name, index) => `${name}: ${values[index] || "not taken"}`).join(", ") + ` ${unit}`;
}
