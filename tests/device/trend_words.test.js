/* What a trend says in words and what its plot shows, for every verdict. The numbers behind them: tests/vectors/trend.json. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { trend_picture } from "../../client/parts/trend_picture.js";
import { trend_sentences } from "../../client/parts/trend_words.js";
import { projection } from "../../client/rules/trend.js";

const GAP = { unit: "in" };

function series(values, { min = null, max = null, unit = "in", step = 50, fitted = -1 } = {}) {
  const points = values.map((value, index) =>
    ({ at: String(1000 + step * index), value, new_part: index === fitted, card: `WC-000${index + 1}` }));
  return { points, limits: { min, max }, unit, projection: projection(points, min, max) };
}

const said = (values, told = {}, field = GAP) => trend_sentences(series(values, told), field);
const RISING = ["0.020", "0.021", "0.022", "0.023", "0.024"];
const CASES = [
  ["a line that reaches its limit", said(RISING, { max: "0.050" }), [
    "Gets 0.0020 in larger per 100 h.",
    "Reaches the limit of 0.050 in after about 1300 h, when the airframe has about 2500 h."]],
  ["too few", said(["1", "2", "3"], { max: "9" }), ["Too few points for a trend: 3 of 5."]],
  ["too few of the new part", said([...RISING, "0.010"], { max: "0.050", fitted: 5 }), [
    "Too few points for a trend: 1 of 5.", "A new part was fitted at WC-0006; readings before it do not count."]],
  ["thickness", said(["0.125", "0.124", "0.123", "0.122", "0.121"], { min: "0.100" }, { unit: "in", wear: "thickness" })[0],
    "Gets 0.0020 in thinner per 100 h."],
  ["depth", said(RISING, { max: "0.050" }, { unit: "in", wear: "depth" })[0],
    "Gets 0.0020 in deeper per 100 h."],
  ["pressure", said(["76", "75", "74", "73", "72"], { min: "60", unit: "psi" }, { unit: "psi" })[0],
    "Gets 2.0 psi lower per 100 h."],
  ["an interval that allows no drift", said(["0.020", "0.023", "0.019", "0.022", "0.0225"], { max: "0.050" }), [
    "Gets 0.0011 in larger per 100 h (between 0.0010 in smaller and 0.0060 in larger).",
    "Reaches the limit of 0.050 in after about 2389 h (367 h or much later), when the airframe has about 3589 h."]],
  ["past its limit", said(["46", "47", "48", "49", "51"], { max: "50", unit: "psi" }, { unit: "psi" })[0],
    "The newest value, 51 psi, is past the limit of 50 psi."],
  ["no drift", said(["72", "72", "72", "72", "72"], { min: "60" }), ["No drift over these points."]],
  ["away from its limit", said(["0.030", "0.028", "0.027", "0.025", "0.024"], { max: "0.050" })[1],
    "That is away from the limit of 0.050 in."],
  ["away, but not surely", said(["0.020", "0.023", "0.019", "0.022", "0.021"], { max: "0.050" })[1],
    "That is away from the limit of 0.050 in. So far the points do not agree on a direction."],
  ["no limit", said(RISING)[1], "The card gives no limit, so nothing is projected."],
  ["at its limit now", said(["0.046", "0.047", "0.048", "0.049", "0.050"], { max: "0.050" })[1],
    "The line is at the limit of 0.050 in now."],
  ["a drift too small to be shown", said(["0.90", "0.90", "0.90", "0.90", "0.91", "0.91"], { max: "2", step: 100000 }), [
    "Changes by less than 0.001 in per 100 h.", "Reaches the limit of 2 in not before 10000 h from now."]],
  ["one odd reading", said(["20", "21", "22", "23", "24", "25", "26", "27", "28", "60"], { max: "100" }, { unit: "N" })[2],
    "A least-squares line, which one odd reading can turn, says about 1120 h. Look at the single readings."],
  ["an odd first reading", said(["90", "21", "22", "23", "24", "25", "26", "27", "28", "29"], { max: "100" })[2],
    "A least-squares line, which one odd reading can turn, says that it does not get there. "
      + "Look at the single readings."],
];

for (const [why, found, wanted] of CASES) test(`words: ${why}`, () => assert.deepEqual(found, wanted));

test("the plot holds points, limit, line and the place where they meet", () => {
  const shown = trend_picture(series(["40", "42", "44", "46", "48"], { max: "50", unit: "psi" }));
  assert.deepEqual(shown.now.at(-1), [1200, 48]);
  assert.deepEqual(shown.crossing, { x: 1250, value: 50 });
  const meets = shown.line.find(({ x }) => x === 1250);
  for (const name of ["value", "low", "high"]) assert.ok(Math.abs(meets[name] - 50) < 1e-9);
  assert.ok(shown.y[0] < 40 && shown.y[1] > 50 && shown.x[0] < 1000 && shown.x[1] > 1250);
});

test("the band opens on both sides of the middle point, low below high", () => {
  const { line } = trend_picture(series(["0.020", "0.0211", "0.0219", "0.0235", "0.0238", "0.0251"], { max: "0.050" }));
  const widths = line.map(({ low, high }) => high - low);
  assert.ok(widths.every((width) => width >= 0) && Math.min(...widths) === 0 && widths[0] > 0 && widths.at(-1) > widths[0]);
});

test("a limit too far away to draw its crossing is still drawn itself", () => {
  const shown = trend_picture(series(RISING, { max: "0.050" }));
  assert.equal(shown.crossing, null);
  assert.ok(shown.y[1] > 0.05);
});

test("points of an earlier part are apart, and too few have no line", () => {
  const shown = trend_picture(series([...RISING, "0.010", "0.011"], { max: "0.050", fitted: 5 }));
  assert.deepEqual([shown.before.length, shown.now.length, shown.line, shown.fitted], [5, 2, null, [1250]]);
});

test("one point alone has room around it", () => {
  const { x, y } = trend_picture(series(["0.020"]));
  assert.ok(x[0] < 1000 && x[1] > 1000 && y[0] < 0.02 && y[1] > 0.02);
});
