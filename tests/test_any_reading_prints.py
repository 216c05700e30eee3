"""Whatever a signed entry may hold, in a field of any kind: it is judged, it is printed, and what follows has room."""

import pytest

from random_readings import field_of, reading_of
from random_values import Dice
from witnessmark.pdf.reading_lines import reading_line
from witnessmark.rules.entry import READING
from witnessmark.rules.problems import Problem
from witnessmark.rules.readings import judge_reading, reading_stops, trend_values
from witnessmark.rules.shape import check_shape
from witnessmark.rules.template_field import KINDS

EXTREMES = ["9" * 15, "-" + "9" * 15, "9" * 15 + "." + "9" * 18, "." + "0" * 17 + "1", "0", "-0", "constructor"]
NAMES = ["again_99", "heard_99", "constructor", "outcome"]


def extreme(dice, field):
    """A reading of `field` as a hostile phone may sign it: any texts, any unit, any names."""
    reading = reading_of(dice, field)
    reading["values"] = [dice.choice(EXTREMES) if value and dice.often(0.3) else value or None
                         for value in reading["values"]]
    inputs = {name: dice.choice(EXTREMES) if dice.often(0.3) else text for name, text in reading["inputs"].items()}
    more = {dice.choice(NAMES): dice.choice(EXTREMES)} if dice.often(0.1) else {}
    unit = dice.choice([None, "toString", field["unit"]]) if dice.often(0.3) else reading["unit"]
    return {**reading, "inputs": {name: text for name, text in {**inputs, **more}.items() if text}, "unit": unit}


def is_legal(reading):
    try:
        check_shape(reading, READING, "reading")
    except Problem:
        return False
    return True


@pytest.mark.parametrize("kind", KINDS)
def test_any_legal_reading_is_judged_and_printed(kind):
    dice, legal = Dice(f"prints {kind}"), 0
    for _ in range(300):
        field = field_of(dice, kind)
        reading = extreme(dice, field)
        if not is_legal(reading):
            continue
        legal += 1
        reading_stops(field, reading)
        trend_values(field, reading)
        for derived in (reading["derived"], judge_reading(field, reading)["derived"]):
            told = {**reading, "derived": derived}
            check_shape(told, READING, "reading")
            assert reading_line(field, field["field"], told, "2026-11-25")["title"] == field["title"]
    assert legal > 200
