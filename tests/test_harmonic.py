"""The first harmonic against NumPy's least squares and Fourier transform, and both languages against each other."""

import json
import math
import random
from fractions import Fraction

import numpy
import pytest

from witnessmark.rules.harmonic import first_harmonic, shape_of
from witnessmark.rules.problems import Problem

CASES = 400
TWIN = """
import { readFileSync } from 'node:fs';
import { first_harmonic, shape_of } from './client/rules/harmonic.js';
const ratio = (text) => { const [n, d] = text.split('/').map(BigInt); return { n, d }; };
const shown = (fit) => Object.fromEntries(Object.entries(fit).map(([name, { n, d }]) => [name, `${n}/${d}`]));
const turn = ([values, degrees]) => {
  try {
    const fit = first_harmonic(values.map(ratio), degrees.map(ratio));
    return { ...shown(fit), shape: shape_of(fit, { n: 1n, d: 1n }) };
  } catch (error) {
    return error.code;
  }
};
console.log(JSON.stringify(JSON.parse(readFileSync(0, 'utf8')).map(turn)));
"""


def drawn(chance):
    """Readings in ten-thousandths at whole or half degrees, sometimes even, sometimes bunched, sometimes thirds."""
    count = chance.choice([4, 5, 6, 7, 8, 12, 16])
    if chance.random() < 0.3:
        degrees = [Fraction(360 * k, count) for k in range(count)]
    else:
        degrees = [Fraction(chance.randint(0, chance.choice([180, 400, 720])), 2) for _ in range(count)]
    size, high_spot = chance.uniform(0, 60), chance.uniform(0, 360)
    heights = [size * math.cos(math.radians(float(angle) - high_spot)) + chance.gauss(0, 5) for angle in degrees]
    return [Fraction(round(height), chance.choice([10**4, 10**4, 3 * 10**4])) for height in heights], degrees


def cases(count):
    chance = random.Random(8)
    return [drawn(chance) for _ in range(count)]


def design(degrees):
    turned = numpy.radians([float(angle) for angle in degrees])
    return numpy.column_stack([numpy.ones(len(degrees)), numpy.cos(turned), numpy.sin(turned)])


def apart(one, other):
    """Degrees between two directions."""
    return abs((float(one) - float(other) + 180) % 360 - 180)


def test_the_fit_is_that_of_numpy_wherever_the_angles_carry_one():
    fitted = 0
    for values, degrees in cases(CASES):
        matrix, heights = design(degrees), numpy.array([float(value) for value in values])
        if numpy.linalg.det(matrix.T @ matrix) < len(values) ** 3 / 40:
            with pytest.raises(Problem, match="three different ones"):
                first_harmonic(values, degrees)
            continue
        mean, a, b = numpy.linalg.lstsq(matrix, heights, rcond=None)[0]
        left = heights - matrix @ [mean, a, b]
        fit, fitted = first_harmonic(values, degrees), fitted + 1
        assert float(fit["mean"]) == pytest.approx(mean, abs=1e-15)
        assert float(fit["eccentricity"]) == pytest.approx(math.hypot(a, b), abs=1e-15)
        assert float(fit["residual"]) == pytest.approx(numpy.sqrt(numpy.mean(left**2)), abs=1e-15)
        assert float(fit["share"]) == pytest.approx(1 - left @ left / (len(left) * heights.var()), abs=1e-10)
        assert math.hypot(a, b) < 1e-9 or apart(fit["high_spot"], math.degrees(math.atan2(b, a))) < 1e-6
    assert CASES / 2 < fitted < CASES


@pytest.mark.parametrize("count", [4, 5, 8, 12, 36, 64])
def test_even_places_give_the_first_term_of_a_fourier_transform(count):
    chance = random.Random(count)
    values = [Fraction(chance.randint(-50, 50), 10**4) for _ in range(count)]
    fit = first_harmonic(values, [Fraction(360 * k, count) for k in range(count)])
    first = 2 / count * numpy.fft.rfft([float(value) for value in values])[1]
    assert float(fit["eccentricity"]) == pytest.approx(abs(first), abs=1e-15)
    assert apart(fit["high_spot"], -numpy.degrees(numpy.angle(first))) < 1e-9


def test_turning_the_shaft_turns_the_high_spot_and_nothing_else():
    for values, degrees in cases(60):
        try:
            here = first_harmonic(values, degrees)
        except Problem:
            continue
        there = first_harmonic(values, [angle + Fraction(1234, 10) for angle in degrees])
        assert float(there["eccentricity"]) == pytest.approx(float(here["eccentricity"]), abs=1e-14)
        assert float(there["residual"]) == pytest.approx(float(here["residual"]), abs=1e-14)
        assert here["eccentricity"] < Fraction(1, 10**6) or apart(there["high_spot"], here["high_spot"] + 123.4) < 1e-6


def test_an_offset_of_any_size_and_direction_is_found_again():
    for degrees_high in range(0, 360, 7):
        values = [Fraction(round(10**15 * 0.003 * math.cos(math.radians(45 * k - degrees_high))), 10**15)
                  for k in range(8)]
        fit = first_harmonic(values, [Fraction(45 * k) for k in range(8)])
        assert float(fit["eccentricity"]) == pytest.approx(0.003, abs=1e-14)
        assert apart(fit["high_spot"], degrees_high) < 1e-9
        assert shape_of(fit, max(values) - min(values)) == "once_per_turn"


def test_both_languages_give_the_same_fit(node):
    asked = cases(CASES)
    written = [[[f"{one.numerator * 6}/{one.denominator * 6}" for one in half] for half in case] for case in asked]
    for (values, degrees), told in zip(asked, json.loads(node(TWIN, json.dumps(written))), strict=True):
        try:
            fit = first_harmonic(values, degrees)
        except Problem as problem:
            assert told == problem.code
            continue
        assert told.pop("shape") == shape_of(fit, Fraction(1))
        assert {name: Fraction(one) for name, one in told.items()} == fit
