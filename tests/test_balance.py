"""Single-plane balance against complex arithmetic and a published example; both languages against each other."""

import cmath
import json
import math
import random

import pytest

from witnessmark.rules.balance import clock_degrees, influence, two_blade
from witnessmark.rules.problems import Problem

CASES = 500
TWIN = """
import { readFileSync } from 'node:fs';
import * as balance from './client/rules/balance.js';
const turn = ([name, ...given]) => { try { return balance[name](...given); } catch (error) { return error.code; } };
console.log(JSON.stringify(JSON.parse(readFileSync(0, 'utf8')).map(turn)));
"""


def vector(size, hours):
    """A length at a clock angle: 12 o'clock is 1, 3 o'clock is i."""
    return cmath.rect(float(size), math.radians(30 * float(hours)))


def read(number):
    """A complex number as it would be typed: amplitude and clock, far finer than any instrument."""
    return f"{abs(number):.12f}", f"{math.degrees(cmath.phase(number)) / 30 % 12:.12f}"


def rotor(chance):
    """What a gram does, where the heavy spot is, and the trial weight: the two runs follow."""
    effect = vector(chance.uniform(0.005, 0.05), chance.uniform(0, 12))
    heavy = vector(chance.uniform(1, 40), chance.uniform(0, 12))
    trial = (f"{chance.uniform(2, 30):.2f}", f"{chance.uniform(0, 12):.1f}")
    return effect, heavy, trial


def runs(effect, heavy, trial):
    return [*read(effect * heavy), *trial, *read(effect * (heavy + vector(*trial)))]


def hours_apart(one, other):
    return abs((float(one) - float(other) + 6) % 12 - 6)


def test_the_correction_lies_opposite_the_heavy_spot_and_weighs_as_much():
    chance = random.Random(9)
    for _ in range(CASES):
        effect, heavy, trial = rotor(chance)
        told = influence(*runs(effect, heavy, trial))
        assert float(told["correction_mass"]) == pytest.approx(abs(heavy), abs=0.00501)
        assert hours_apart(told["correction_clock"], math.degrees(cmath.phase(-heavy)) / 30) <= 0.0501
        assert float(told["influence"]) == pytest.approx(abs(effect), abs=5.1e-7)
        assert hours_apart(told["influence_clock"], math.degrees(cmath.phase(effect)) / 30) <= 0.0501


def test_the_corrected_rotor_runs_smoother_by_all_but_the_rounding():
    chance = random.Random(10)
    for _ in range(CASES):
        effect, heavy, trial = rotor(chance)
        told = influence(*runs(effect, heavy, trial))
        left = effect * (heavy + vector(told["correction_mass"], told["correction_clock"]))
        assert abs(left) <= abs(effect) * (0.0051 + abs(heavy) * math.radians(1.51))


def test_the_published_example():
    """Rotating Machinery: Practical Solutions to Unbalance and Misalignment, fig. 5-2, 5-3 and equation 5.1.

    3.5 mils at 60 degrees, with 5 oz 5.0 mils at 120 degrees, read from a mark under a strobe: "T" measured as 4.4
    mils, 5 * 3.5 / 4.4 = 3.977 oz, used as 4; 77 degrees in the figure, against the shift of the mark.
    """
    turned = [f"{12 - degrees / 30}" for degrees in (60, 120)]
    told = influence("3.5", turned[0], "5", "12", "5.0", turned[1])
    assert float(told["correction_mass"]) == pytest.approx(5 * 3.5 / 4.4, abs=0.05)
    assert round(float(told["correction_mass"])) == 4
    assert hours_apart(told["correction_clock"], -77 / 30) <= 0.05
    assert float(told["influence"]) * 5 == pytest.approx(4.4, abs=0.05)


def test_what_the_blades_take_and_what_is_left_make_up_the_weight():
    chance = random.Random(11)
    for _ in range(CASES):
        mass, clock = f"{chance.uniform(0, 60):.2f}", f"{chance.uniform(0, 12):.1f}"
        told, wanted = two_blade(mass, clock), vector(mass, clock)
        side = {"A": 1, "B": -1, "none": 0}[told["blade"]]
        assert side * float(told["mass"]) == pytest.approx(wanted.real, abs=0.00501)
        assert float(told["left"]) == pytest.approx(abs(wanted.imag), abs=0.00501)


def test_both_languages_say_the_same(node):
    chance = random.Random(12)
    texts = ["0", "12", "12.0", "6", "-1", "", "noon", "0.40", "3.5", "11.99", "1e3", "99"]
    asked = [["influence", *runs(*rotor(chance))] for _ in range(CASES)]
    asked += [["influence", *(chance.choice(texts) for _ in range(6))] for _ in range(CASES)]
    asked += [["two_blade", f"{chance.uniform(0, 60):.3f}", chance.choice(texts)] for _ in range(CASES)]
    rules = {"influence": influence, "two_blade": two_blade}
    for (name, *given), told in zip(asked, json.loads(node(TWIN, json.dumps(asked))), strict=True):
        try:
            assert rules[name](*given) == told, given
        except Problem as problem:
            assert problem.code == told, given


@pytest.mark.parametrize("typed", [None, 3, "3:30", "1.2.3", "13", "-0.1", "x" * 100])
def test_a_clock_that_is_none_is_refused_with_what_to_type(typed):
    with pytest.raises(Problem, match="hours from 0 to 12"):
        clock_degrees(typed)
