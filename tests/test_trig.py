"""Cosine, sine, arctangent and root against mpmath to the last digit, and both languages against each other."""

import json
import random
from fractions import Fraction

import mpmath
import pytest

from witnessmark.rules.trig import arctangent, cosine, sine, square_root

CASES = 1500
TWIN = """
import { readFileSync } from 'node:fs';
import * as trig from './client/rules/trig.js';
const ratio = (text) => { const [n, d] = text.split('/').map(BigInt); return { n, d }; };
const read = (one) => (typeof one === 'string' ? ratio(one) : one);
const told = JSON.parse(readFileSync(0, 'utf8')).map(([name, ...given]) => trig[name](...given.map(read)));
console.log(JSON.stringify(told.map(({ n, d }) => `${n}/${d}`)));
"""


@pytest.fixture(autouse=True)
def fifty_digits():
    with mpmath.workdps(50):
        yield


def high(ratio):
    return mpmath.mpf(ratio.numerator) / ratio.denominator


def rounded(number, places):
    """mpmath's number to `places` decimals; a tie would be a rational cosine, and those are exact in 50 digits."""
    return Fraction(int(mpmath.sign(number) * mpmath.floor(abs(number) * 10**places + 0.5)), 10**places)


def angles(count):
    chance = random.Random(4)
    for k in range(count):
        wide = chance.randint(-720 * 10**6, 720 * 10**6)
        yield Fraction(wide, chance.choice([1, 60, 3600, 10**6, 7 * 10**5]))
        yield Fraction(90 * (k % 9 - 4)) + Fraction(chance.randint(-9, 9), 10 ** chance.randint(0, 24))


def points(count):
    chance = random.Random(5)
    for _ in range(count):
        y, x = (Fraction(chance.randint(-10**9, 10**9), 10 ** chance.randint(0, 18)) for _ in range(2))
        yield y, x or Fraction(1)


def as_text(ratio, spoiled=1):
    return f"{ratio.numerator * spoiled}/{ratio.denominator * spoiled}"


def test_cosine_and_sine_have_24_right_decimals():
    for angle in angles(CASES):
        turned = mpmath.radians(high(angle % 360))
        assert cosine(angle) == rounded(mpmath.cos(turned), 24), angle
        assert sine(angle) == rounded(mpmath.sin(turned), 24), angle


def test_cosine_is_even_sine_is_odd_and_a_turn_changes_nothing():
    for angle in angles(200):
        assert cosine(-angle) == cosine(angle) == cosine(angle + 3600)
        assert sine(-angle) == -sine(angle) == sine(angle + 180)


def test_arctangent_has_12_right_decimals():
    for y, x in points(CASES):
        assert arctangent(y, x) == rounded(mpmath.degrees(mpmath.atan2(high(y), high(x))) % 360, 12) % 360, (y, x)


def test_arctangent_turns_cosine_and_sine_back():
    for angle in angles(200):
        distance = abs(arctangent(sine(angle), cosine(angle)) - angle % 360)
        assert min(distance, 360 - distance) <= Fraction(1, 10**12), angle


def test_a_root_is_the_nearest_decimal():
    chance = random.Random(6)
    for _ in range(CASES):
        value, places = Fraction(chance.randint(0, 10**24), chance.randint(1, 10**18)), chance.randint(0, 24)
        root, half = square_root(value, places), Fraction(1, 2 * 10**places)
        assert root.denominator <= 10**places and (root + half) ** 2 > value
        assert root < half or (root - half) ** 2 <= value


def test_both_languages_give_the_same_ratio_whether_or_not_it_is_in_lowest_terms(node):
    asked = [[name, as_text(angle, 12)] for angle in angles(400) for name in ("cosine", "sine")]
    asked += [["arctangent", as_text(y, 35), as_text(x)] for y, x in points(400)]
    asked += [["square_root", as_text(abs(y), 6), places] for places, (y, _) in enumerate(points(24))]
    rules = {"cosine": cosine, "sine": sine, "arctangent": arctangent, "square_root": square_root}
    own = [rules[name](*(Fraction(one) if isinstance(one, str) else one for one in given)) for name, *given in asked]
    told = json.loads(node(TWIN, json.dumps(asked)))
    assert [Fraction(one) for one in told] == own
