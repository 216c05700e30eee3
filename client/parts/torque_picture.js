/*
 * The wrench from above, drawn from what was measured: grip, drive, the extension at its angle, the fastener.
 * Places are worked out for the eye only; no torque comes from here.
 */
import { html, nothing, svg } from "../vendor/lit.js";
import { number_problem, settled } from "./typed_number.js";

const WIDTH = 320;
const MARGIN = { left: 40, right: 34, top: 40, bottom: 46 };
const TALLEST = 92;
const HEX = "0,-15 13,-7.5 13,7.5 0,15 -13,7.5 -13,-7.5";

/** The drawing for the inputs wrench_length, extension, angle (typed texts) with their `length_unit`. */
export function torque_picture({ wrench_length = "", extension = "", angle = "" }, length_unit) {
  const known = [wrench_length, extension, angle].map(readable);
  const length = known[0] > 0 ? known[0] : 10;
  const reach = known[1] ?? 0;
  const turn = ((known[2] ?? 0) * Math.PI) / 180;
  const places = laid_out(length, reach * Math.cos(turn), reach * Math.sin(turn));
  const label = (name, typed) => (typed ? `${name} ${typed} ${length_unit}` : name);
  return html`
    <svg class="wrench-picture" viewBox="0 0 ${WIDTH} ${places.height}" role="img"
      aria-label="From above: ${label("wrench", wrench_length)}, ${label("extension", extension)}, at ${angle || 0}°">
      ${length_line(places, label("wrench", wrench_length))}
      ${wrench(places)}
      ${reach ? extension_bar(places, label("extension", extension), angle) : nothing}
      ${fastener(reach ? places.nut : places.drive, reach !== 0)}
      ${pull(places)}
    </svg>`;
}

function readable(typed) {
  const text = settled(typed);
  return text && !number_problem(text) ? Number(text) : null;
}

/* Grip, drive and nut on the paper, as large as they fit. `along` and `across` lead from the drive to the nut. */
function laid_out(length, along, across) {
  const left = Math.min(0, length + along);
  const right = Math.max(length, length + along);
  const room = WIDTH - MARGIN.left - MARGIN.right;
  const scale = Math.min(room / (right - left), TALLEST / Math.max(Math.abs(across), 1e-9));
  const rise = Math.max(0, across * scale);
  const line = MARGIN.top + rise;
  const grip = { x: MARGIN.left + (room - (right - left) * scale) / 2 - left * scale, y: line };
  const drive = { x: grip.x + length * scale, y: line };
  const nut = { x: drive.x + along * scale, y: line - across * scale };
  return { grip, drive, nut, height: line + Math.max(0, -across * scale) + MARGIN.bottom };
}

function wrench({ grip, drive }) {
  const half = Math.min(26, Math.abs(drive.x - grip.x) * 0.3);
  return svg`
    <rect class="metal" x=${grip.x} y=${grip.y - 4} width=${Math.max(drive.x - grip.x, 0)} height="8" />
    <rect class="grip" x=${grip.x - half} y=${grip.y - 9} width=${half * 2} height="18" rx="8" />
    <path class="centre" d="M${grip.x},${grip.y - 13}v26" />
    <circle class="metal" cx=${drive.x} cy=${drive.y} r="16" />`;
}

function extension_bar({ drive, nut }, words, angle) {
  const middle = { x: (drive.x + nut.x) / 2, y: (drive.y + nut.y) / 2 };
  const place = beside_bar(drive, nut, middle);
  return svg`
    <line class="bar-edge" x1=${drive.x} y1=${drive.y} x2=${nut.x} y2=${nut.y} />
    <line class="bar" x1=${drive.x} y1=${drive.y} x2=${nut.x} y2=${nut.y} />
    <path class="counts" d="M${drive.x},${drive.y}H${nut.x}V${nut.y}" />
    <rect class="drive" x=${drive.x - 6} y=${drive.y - 6} width="12" height="12" />
    <text x=${place.x} y=${place.y} text-anchor=${place.anchor}>${words}${angle ? `, ${angle}°` : ""}</text>`;
}

/* Where the words of the extension keep clear of wrench and pull. */
function beside_bar(drive, nut, middle) {
  if (Math.abs(nut.y - drive.y) > 30) return { x: middle.x - 14, y: middle.y, anchor: "end" };
  const y = Math.min(drive.y, nut.y) - 24;
  return nut.x < drive.x ? { x: drive.x + 16, y, anchor: "end" } : { x: Math.min(middle.x, 230), y, anchor: "middle" };
}

/* The nut with its stripe of paint; the drive shows on it when nothing stands between. */
function fastener({ x, y }, apart) {
  return svg`
    <g transform="translate(${x} ${y})">
      <polygon class="nut" points=${HEX} />
      ${apart ? svg`<path class="stripe" d="M-3,-15L5,15" />`
        : svg`<rect class="drive" x="-6" y="-6" width="12" height="12" />`}
    </g>`;
}

function length_line({ grip, drive, height }, words) {
  const y = height - 24;
  return svg`
    <path class="measure" d="M${grip.x},${grip.y + 14}V${y + 6}M${drive.x},${drive.y + 14}V${y + 6}" />
    <path class="measure" d="M${grip.x},${y}H${drive.x}" />
    <text x=${(grip.x + drive.x) / 2} y=${y + 17} text-anchor="middle">${words}</text>`;
}

function pull({ grip: { x, y } }) {
  return svg`<path class="pull" d="M${x},${y - 14}v-18m-6,8l6,-8l6,8" /><text x=${x + 10} y=${y - 24}>pull</text>`;
}
