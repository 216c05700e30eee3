"""Every factor of the unit table against `pint` (PyPI), an independent table of units."""

from decimal import Decimal

import pint
import pytest

from witnessmark.rules.units import UNITS, convert

PINT = {"in-lbf": "inch * force_pound", "ft-lbf": "foot * force_pound", "N·m": "newton * meter",
        "kgf·cm": "force_kilogram * centimeter", "ozf·in": "force_ounce * inch", "in": "inch", "mm": "millimeter",
        "psi": "psi", "kPa": "kilopascal", "inHg": "inch * 13595.1 * kilogram / meter ** 3 * standard_gravity",
        "lbf": "force_pound", "N": "newton", "US gal": "US_liquid_gallon", "qt": "US_liquid_quart", "L": "liter",
        "°F": "degree_Fahrenheit", "°C": "degree_Celsius", "rpm": "revolutions_per_minute", "V": "volt", "A": "ampere",
        "h": "hour", "%": "percent", "°": "degree", "ips": "inch / second", "g": "gram", "turns": "turn",
        # Counts of things have no unit elsewhere.
        "wires": "dimensionless", "strands": "dimensionless", "threads": "dimensionless"}
PAIRS = [(a, b) for a in UNITS for b in UNITS if UNITS[a]["kind"] == UNITS[b]["kind"]]


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry(non_int_type=Decimal, autoconvert_offset_to_baseunit=True)


def test_every_unit_has_its_oracle():
    assert PINT.keys() == UNITS.keys()


def oracle(registry, typed, source, target):
    if UNITS[source]["kind"] == "temperature":
        return registry.Quantity(Decimal(typed), PINT[source]).to(PINT[target]).magnitude
    one = registry.parse_expression
    return (Decimal(typed) * one(PINT[source]) / one(PINT[target])).to("dimensionless").magnitude


@pytest.mark.parametrize(("source", "target"), PAIRS)
@pytest.mark.parametrize("typed", ["1", "-40", "0.005", "98765.4321"])
def test_conversion_agrees_with_pint(registry, typed, source, target):
    ours, theirs = Decimal(convert(typed, source, target, 15)), oracle(registry, typed, source, target)
    assert abs(ours - theirs) <= abs(theirs) * Decimal("1e-12") + Decimal("1e-12")
