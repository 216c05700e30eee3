"""Where strokes stand in the drawings of the paper: computed here from the values, by closed forms."""

import re
from math import atan2, cos, degrees, hypot, radians

import pytest

from witnessmark.pdf.balance_clock import balance_clock
from witnessmark.pdf.bars import bars
from witnessmark.pdf.polar_plot import polar_plot
from witnessmark.pdf.profile_plot import profile_plot
from witnessmark.pdf.scale import Scale
from witnessmark.pdf.trend_plot import trend_plot

DOT = re.compile(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="1.90" fill="#111"')
PATH = re.compile(r'<path d="([^"]+)" fill="[^"]+" stroke="[^"]+" stroke-width="([\d.]+)"'
                  r'(?: stroke-dasharray="(\S+ \S+)")?')


def dots(drawing):
    return [(float(x), float(y)) for x, y in DOT.findall(drawing)]


def paths(drawing, width, dash=""):
    """[[(x, y)]] of the strokes of one width and dash pattern."""
    return [[tuple(map(float, point.split())) for point in route.strip("MZ").split("L")]
            for route, drawn, dashes in PATH.findall(drawing) if drawn == width and dashes == dash]


def from_middle(point, middle):
    """(angle in degrees clockwise from the top, distance)."""
    across, up = point[0] - middle[0], middle[1] - point[1]
    return degrees(atan2(across, up)) % 360, hypot(across, up)


def test_a_shaft_that_is_high_once_per_turn_is_drawn_as_a_shifted_circle():
    angles = list(range(0, 360, 30))
    values = [0.010 + 0.002 * cos(radians(angle - 60)) for angle in angles]
    fitted = {"eccentricity": 0.002, "high_spot": 60}
    drawing = polar_plot(angles, values, [str(angle) for angle in angles], fitted, "t")
    for (x, y), angle, value in zip(dots(drawing), angles, values, strict=True):
        found = from_middle((x, y), (90, 70))
        assert (found[0] - angle + 180) % 360 == pytest.approx(180, abs=0.1)
        assert found[1] == pytest.approx(32 + 13 * (value - 0.010) / 0.002, abs=0.02)
    (fit, spoke) = paths(drawing, "0.8", "4 2.5")
    assert max(fit, key=lambda point: from_middle(point, (90, 70))[1]) == dots(drawing)[2]
    assert from_middle(spoke[-1], (90, 70))[0] == pytest.approx(60, abs=0.1)


def test_a_dial_that_did_not_move_is_a_circle_without_a_high_spot():
    drawing = polar_plot([0, 90, 180, 270], [0.5] * 4, "abcd", {"eccentricity": 0.0, "high_spot": 0.0}, "t")
    assert [round(from_middle(point, (90, 70))[1], 2) for point in dots(drawing)] == [32.0] * 4
    assert paths(drawing, "0.8", "4 2.5") == []


def test_bars_are_as_long_as_their_values_and_the_limit_crosses_them():
    rows = [{"name": "1", "value": 80, "text": "80", "outside": False},
            {"name": "2", "value": 40, "text": "40", "outside": True},
            {"name": "3", "value": -5, "text": "-5", "outside": True}]
    drawing = bars(rows, 80, [(60, None)] * 3, "t")
    lengths = [route[1][0] - route[0][0] for width in ("0.7", "1.6") for route in paths(drawing, width)]
    assert lengths == [184.0, 92.0, 0.0]
    assert {point[0] for route in paths(drawing, "1.3", "4 2.5") for point in route} == {66 + 184 * 0.75}


def test_a_profile_puts_each_value_above_or_below_its_own_limit():
    drawing = profile_plot(["a", "b", "c"], [3.0, 1.0, None], [(2.0, None), (2.0, None), (None, None)],
                           [None, 1.5, None], "mm", "t")
    (first, second), limits = dots(drawing)[:2], paths(drawing, "1.3", "4 2.5")
    assert len(limits) == 2 and limits[0][0][1] == limits[1][0][1]
    assert first[1] < limits[0][0][1] < second[1]
    assert "last inspection" in drawing and "limit, least" in drawing and "order of the table" not in drawing
    named = profile_plot(["0200 mm outboard"] * 12, [1.0] * 12, [(None, None)] * 12, [None] * 12, "mm", "t")
    assert ">12</text>" in named and "order of the table" in named and "outboard" not in named


def test_a_trend_line_runs_on_to_its_limit_and_a_new_part_is_marked():
    points = [(100.0, 5.0, False), (200.0, 1.0, True), (300.0, 2.0, True)]
    drawing = trend_plot(points, (None, 4.0), [(200.0, 1.0), (300.0, 2.0), (500.0, 4.0)], "mm", "t")
    (limit,), (onward,) = paths(drawing, "1.3", "4 2.5"), [
        route for route in paths(drawing, "0.8", "1 2.5") if route[0][0] != route[1][0]]
    assert onward[1][1] == limit[0][1] and onward[0] == dots(drawing)[1]
    assert "new part" in drawing and len(dots(drawing)) == 2
    assert "new part" not in trend_plot(points[1:], (None, 4.0), [], "mm", "t")


def test_clock_hours_stand_where_a_clock_has_them():
    drawing = balance_clock([("1", 3.0, 0.4), ("2", 6.0, 0.2)], [("T", 9.0, False), ("C", 12.0, True)], "t")
    first, second = paths(drawing, "1.2")
    assert first == [(75.0, 75.0), (102.0, 75.0)] and second == [(75.0, 75.0), (75.0, 88.5)]
    assert 'cx="22.00" cy="75.00" r="5.20"' in drawing and "M70.00 6.00" in drawing
    assert balance_clock([("1", 3.0, 0.0)], [], "t")


@pytest.mark.parametrize("values", [[0.0], [5.0, 5.0], [-3.0, 7.0], [1e-6, 2e-6], [1e15, -1e15], [0.0101, 0.0102]])
def test_a_scale_holds_its_values_and_its_numbers(values):
    scale = Scale(values, 100, 20)
    assert all(20 < scale(value) < 100 for value in values)
    ticks = scale.ticks()
    assert 1 <= len(ticks) <= 5
    for number, text in ticks:
        assert 20 <= scale(number) <= 100 and float(text) == pytest.approx(number, abs=1e-12)
    assert len({text for _, text in ticks}) == len(ticks)
