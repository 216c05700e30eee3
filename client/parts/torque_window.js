/*
 * The window at the fastener as a bar: where the torque lies in it, and how far the wrench's tolerance reaches.
 * Places are worked out for the eye only; the verdict comes from the rules.
 */
import { html, nothing, svg } from "../vendor/lit.js";

const WIDTH = 320;
const EDGE = 46;

/**
 * The bar for the window {min, max}, the `applied` torque and `reach`, the tolerance of the wrench there or null; texts
 * in one unit. Nothing when an end is open.
 */
export function torque_window({ min, max }, applied, reach) {
  if (min === null || max === null || Number(min) === Number(max)) return nothing;
  const place = scale(Number(min), Number(max));
  const band = reach === null ? 0 : Number(reach);
  return html`
    <svg class="window-picture" viewBox="0 0 ${WIDTH} 62" role="img"
      aria-label="Window ${min} to ${max}, applied ${applied}${reach === null ? "" : `, give or take ${reach}`}">
      <rect class="inside" x=${place(min)} y="14" width=${place(max) - place(min)} height="22" />
      ${band ? svg`
        <path class="band" d=${[min, max].map((end) => guard(place, Number(end), band)).join("")} />
        <path class="reach" d=${whisker(place, Number(applied), band)} />` : nothing}
      <path class="at-edge" d="M${place(applied)},6V44" /><path class="at" d="M${place(applied)},7.5V42.5" />
      <text x=${place(min)} y="58" text-anchor="middle">${min}</text>
      <text x=${place(max)} y="58" text-anchor="middle">${max}</text>
    </svg>`;
}

/* Torque to place on the bar; what lies far outside is drawn at the edge of the picture. */
function scale(min, max) {
  const room = WIDTH - 2 * EDGE;
  return (torque) => Math.min(WIDTH - 6, Math.max(6, EDGE + ((Number(torque) - min) / (max - min)) * room));
}

/* Slanting lines over the part where the tolerance could carry a torque across the limit. */
function guard(place, end, band) {
  const [from, to] = [place(end - band), place(end + band)];
  const count = Math.max(0, Math.floor((to - from) / 6));
  const lines = Array.from({ length: count }, (_, index) => `M${from + index * 6},36l6,-22`);
  return `M${from},14V36M${to},14V36${lines.join("")}`;
}

function whisker(place, applied, band) {
  const [from, to] = [place(applied - band), place(applied + band)];
  return `M${from},25H${to}M${from},20v10M${to},20v10`;
}
