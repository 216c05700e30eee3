/*
 * What follows from a row of readings, in lines: the shape of a shaft, the thinnest place, the largest step.
 */
import { html, nothing } from "../vendor/lit.js";

const SHAPE = {
  round: "Round: the dial did not move.",
  once_per_turn: "The shape of a bent shaft, or of one off its centre.",
  other: "Not the shape of a bent shaft: look for an out-of-round surface, dirt or a bad reading.",
};

const line = (name, value) => html`<p class="derived small" role="status"><span>${name}</span> <output>${value}</output></p>`;

/** What the first harmonic says about one turn of a dial. */
export function shape_lines({ shape, eccentricity, high_spot, residual }, unit) {
  if (!shape) return nothing;
  return html`
    ${shape === "round" ? nothing : html`
      ${line("Off centre by", `${eccentricity} ${unit}`)} ${line("High spot at", `${high_spot}°`)}
      ${line("Left over", `${residual} ${unit}`)}`}
    <p class="shape" role="status">${SHAPE[shape]}</p>`;
}

/** The worst place, the largest step between neighbours and the largest difference of a row. */
export function row_lines(field, { least, least_at, most, most_at, step, step_at, spread }, unit) {
  const name = (at) => field.stations[at - 1];
  return html`
    ${least ? line(`Thinnest, ${name(least_at)}`, `${least} ${unit}`) : nothing}
    ${most ? line(`Deepest, ${name(most_at)}`, `${most} ${unit}`) : nothing}
    ${step ? line(`Largest step, ${name(step_at)} to ${field.stations[step_at]}`, `${step} ${unit}`) : nothing}
    ${spread ? line("Largest difference", `${spread} ${unit}`) : nothing}`;
}
