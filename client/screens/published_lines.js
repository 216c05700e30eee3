/*
 * The lines that an author copies from the published values into a card: fields in the card's own form, YAML. Pure.
 */
const WIDTH = 40;
const GOVERNS = "Published default; the manufacturer's current instructions govern.";

/** A torque field for `size` with what `torque_range` found. */
export function torque_lines(size, found) {
  return [
    "kind: torque", "title: Torque of the nut", "unit: in-lbf", `limits: {min: "${found.min}", max: "${found.max}"}`,
    ...folded(`${found.source}, thread ${size}${found.estimated ? ", estimated value of the table" : ""}. ` +
      `${found.condition}. ${GOVERNS}`),
    "tool: torque wrench", 'torque: {drag: "yes"}',
  ].join("\n");
}

/** A field for the torque that turns a self-locking nut on `size`, with what `prevailing_torque` found. */
export function prevailing_lines(size, found) {
  return [
    "kind: measure", "title: Prevailing torque of the self-locking nut", "unit: in-lbf",
    `limits: {min: "${found.min}"}`,
    ...folded(`${found.source}, thread ${size}. ${GOVERNS}`), "tool: torque wrench",
  ].join("\n");
}

/** The same below 7/16, where no torque is published: fingers decide. */
export function by_hand_lines() {
  return [
    "kind: choice", "title: Self-locking nut turned by fingers", "options: [Fingers cannot turn it, Fingers turn it]",
    "acceptable: [Fingers cannot turn it]",
    ...folded("Older AC 43.13-1A, as retold: a fibre locknut may be used again while fingers cannot " +
      `turn it. ${GOVERNS}`),
  ].join("\n");
}

/** A field for the published scale with this `name`; which grades are acceptable, the author says. */
export function scale_lines(name, title) {
  return ["kind: scale", `title: ${title}`, `scale: ${name}`].join("\n");
}

function folded(source) {
  const lines = [""];
  for (const word of source.split(" ")) {
    if (lines.at(-1).length + word.length > WIDTH) lines.push("");
    lines.push(`${lines.pop()} ${word}`.trim());
  }
  return ["source: >-", ...lines.map((line) => `  ${line}`)];
}
