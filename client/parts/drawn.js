/*
 * Numbers of the trade as lengths on a drawing.
 */
import { compare, over, ratio, show, times } from "../rules/ratio.js";

/** The ratio `value` of the ratio `full` on a line `length` long, as an SVG number between 0 and `length`. */
export function drawn(value, full, length) {
  const [none, all] = [ratio("0"), ratio(String(length))];
  if (compare(full, none) <= 0 || compare(value, none) <= 0) return "0";
  const long = times(over(value, full), all);
  return compare(long, all) > 0 ? String(length) : show(long, 2);
}
