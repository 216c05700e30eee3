"""Trends against scipy and against certified values: Theil-Sen with its interval, least squares, random cases twice."""

import copy
import json
import random
import subprocess
from fractions import Fraction
from pathlib import Path

import pytest
from scipy import stats

from system_packages import node_flags
from test_vectors import load
from witnessmark.rules.ratio import ratio, show
from witnessmark.rules.trend import NORMAL, SD_PLACES, least_squares, projection, second_opinion, theil_sen
from witnessmark.rules.trend_series import trends

# Data and intervals of scipy's own tests of the method of P. K. Sen (1968).
SEN_X, SEN_Y = [1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78]
LEVELS = sorted(NORMAL)
RANDOM_CASES = 400

TWIN = """
import { readFileSync } from 'node:fs';
import { ratio, show } from './client/rules/ratio.js';
import { least_squares, projection, second_opinion, theil_sen } from './client/rules/trend.js';
const shown = (line) => Object.fromEntries(Object.entries(line).map(([name, one]) => [name, show(one, 30)]));
console.log(JSON.stringify(JSON.parse(readFileSync(0, 'utf8')).map(({ points, low, high, level }) => {
  const [xs, ys] = [points.map((point) => ratio(point.at)), points.map((point) => ratio(point.value))];
  const found = projection(points, low, high);
  return [shown(theil_sen(xs, ys, level)), shown(least_squares(xs, ys)), found, second_opinion(points, found)];
})));
"""


def exact(values):
    return [Fraction(str(value)) for value in values]


@pytest.mark.parametrize("level", LEVELS)
def test_the_normal_points_are_those_of_scipy(level):
    assert NORMAL[level] / 10**15 == pytest.approx(stats.norm.ppf((1 + float(level)) / 2), rel=1e-15)


def test_the_published_data_of_sen():
    line = theil_sen(exact(SEN_X), exact(SEN_Y), "0.93")
    assert (line["slope"], line["intercept"]) == (4, 4)
    assert (show(line["low"], 2), show(line["high"], 2)) == ("3.71", "4.38")


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize(("xs", "ys"), [
    (SEN_X, SEN_Y),
    (SEN_X, SEN_Y[::-1]),
    ([1, 1, 2, 3, 3, 4, 4, 5], [2, 3, 4, 6, 5, 9, 9, 9]),
    ([0, 10, 21, 33, 46, 50], [5, 5, 4, 5, 6, 5]),
    ([812.4, 840, 861.25, 899.9, 930.05, 931], [0.125, 0.124, 0.1235, 0.1221, 0.12, 0.1221]),
], ids=["sen", "falling", "ties", "about_zero", "wear"])
def test_line_and_interval_are_those_of_scipy(xs, ys, level):
    agrees_with_scipy(xs, ys, level)


@pytest.mark.parametrize("level", LEVELS)
def test_norris_by_the_median_of_slopes(level):
    data = json.loads((Path(__file__).parent / "standards" / "norris.json").read_text(encoding="utf-8"))
    agrees_with_scipy([float(point["x"]) for point in data["points"]], [float(point["y"]) for point in data["points"]],
                      level)


def test_norris_by_least_squares_has_every_certified_digit():
    data = json.loads((Path(__file__).parent / "standards" / "norris.json").read_text(encoding="utf-8"))
    assert len(data["points"]) == data["count"] == 36
    line = least_squares([ratio(point["x"]) for point in data["points"]],
                         [ratio(point["y"]) for point in data["points"]])
    for name, certified in data["certified"].items():
        assert show(line[name], len(certified.partition(".")[2])) == certified


def test_random_lines_are_those_of_scipy_and_of_the_twin(root):
    made = random.Random(1968)
    cases = [random_case(made) for _ in range(RANDOM_CASES)]
    told = subprocess.run(["node", *node_flags(), "--input-type=module", "-e", TWIN], cwd=root, input=json.dumps(cases),
                          capture_output=True, text=True, encoding="utf-8", check=True)
    for case, twin in zip(cases, json.loads(told.stdout), strict=True):
        xs, ys = ([ratio(point[name]) for point in case["points"]] for name in ("at", "value"))
        lines = [theil_sen(xs, ys, case["level"]), least_squares(xs, ys)]
        shown = [{name: show(one, 30) for name, one in line.items()} for line in lines]
        found = projection(case["points"], case["low"], case["high"])
        assert [*shown, found, second_opinion(case["points"], found)] == twin
    for case in cases:
        agrees_with_scipy([float(point["at"]) for point in case["points"]],
                          [float(point["value"]) for point in case["points"]], case["level"])


def test_the_standard_deviations_of_the_vectors_are_those_of_scipy():
    for case in load("trend"):
        if case["function"] != "least_squares" or "problem" in case:
            continue
        xs, ys = ([float(Fraction(one["ratio"])) for one in given] for given in case["in"])
        oracle = stats.linregress(xs, ys)
        line = {name: float(Fraction(one["ratio"])) for name, one in case["out"].items()}
        found = [line[name] for name in ("slope", "intercept", "slope_sd", "intercept_sd")]
        told = [oracle.slope, oracle.intercept, oracle.stderr, oracle.intercept_stderr]
        assert found == pytest.approx(told, rel=1e-9, abs=10.0**-SD_PLACES), case["why"]


def agrees_with_scipy(xs, ys, level):
    line = theil_sen(exact(xs), exact(ys), level)
    oracle = stats.theilslopes(ys, xs, float(level))
    told = [oracle.slope, oracle.intercept, oracle.low_slope, oracle.high_slope]
    assert [float(line[name]) for name in ("slope", "intercept", "low", "high")] == pytest.approx(told, abs=1e-9)


def random_case(made):
    """Some have ties, some fall, some have a new part in the middle; at least three different hours, always."""
    count, decimals, grain = made.randint(3, 14), made.randint(0, 4), made.choice([1, 1, 7])
    hours = [*made.sample(range(1, 90), 3), *(made.randint(1, 90) for _ in range(count - 3))]
    values = [show(Fraction(made.randint(-40, 400) // grain * grain, 10**decimals), decimals) for _ in hours]
    points = [{"at": show(Fraction(hour, 2), 1), "value": value, "new_part": made.random() < 0.05}
              for hour, value in zip(hours, values, strict=True)]
    low, high = made.choice([(None, "9.5"), ("-1", None), ("-2", "30"), (None, None)])
    return {"points": points, "low": low, "high": high, "level": made.choice(LEVELS)}


NEWEST_TWIN = """import { readFileSync } from 'node:fs';
import { trends } from './client/rules/trend_series.js';
const told = trends(...JSON.parse(readFileSync(0, 'utf8')));
console.log(JSON.stringify([told.length, told[0].points.length, told[0].points[0].at, told[0].points.at(-1).at]));"""


def test_a_trend_looks_at_the_newest_200_points_in_both_languages(node):
    """Every pair is compared: without an end to it the trend of an old aircraft would hold a phone for seconds."""
    [card, template, past] = next(case for case in load("trend_series") if case["function"] == "trends")["in"]
    many = []
    for number in range(205):
        one = copy.deepcopy(past[number % 2])
        hours = {"airframe": {"value": str(1000 + number), "unit": "h"}}
        one["card"] |= {"number": f"WC-{number + 1:04}", "times": hours}
        many.append(one)
    last = {**card, "number": "WC-0205", "times": many[-1]["card"]["times"]}
    told = trends(last, template, many)
    assert [len(told), len(told[0]["points"]), told[0]["points"][0]["at"], told[0]["points"][-1]["at"]] == [
        1, 200, "1005", "1204"]
    assert json.loads(node(NEWEST_TWIN, json.dumps([last, template, many]))) == [1, 200, "1005", "1204"]
