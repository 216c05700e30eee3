"""Units of the trade and their exact factors.

value in the base unit = (value - shift) * times / over. Exact definitions: 1 in = 25.4 mm, 1 lb = 0.45359237 kg,
g_n = 9.80665 m/s2 (so 1 lbf = 4.4482216152605 N), US gallon = 231 in3; inHg is the conventional one
(13595.1 kg/m3). NIST SP 811 appendix B gives the same rounded to seven digits.
"""

from .problems import Problem
from .ratio import compare, minus, over, plus, ratio, show, times

UNITS = {
    "in-lbf": {"kind": "torque", "times": "0.1129848290276167", "over": "1", "shift": "0"},
    "ft-lbf": {"kind": "torque", "times": "1.3558179483314004", "over": "1", "shift": "0"},
    "N·m": {"kind": "torque", "times": "1", "over": "1", "shift": "0"},
    "kgf·cm": {"kind": "torque", "times": "0.0980665", "over": "1", "shift": "0"},
    "ozf·in": {"kind": "torque", "times": "0.1129848290276167", "over": "16", "shift": "0"},
    "in": {"kind": "length", "times": "25.4", "over": "1", "shift": "0"},
    "mm": {"kind": "length", "times": "1", "over": "1", "shift": "0"},
    "psi": {"kind": "pressure", "times": "4.4482216152605", "over": "0.64516", "shift": "0"},
    "kPa": {"kind": "pressure", "times": "1", "over": "1", "shift": "0"},
    "inHg": {"kind": "pressure", "times": "3.386388640341", "over": "1", "shift": "0"},
    "lbf": {"kind": "force", "times": "4.4482216152605", "over": "1", "shift": "0"},
    "N": {"kind": "force", "times": "1", "over": "1", "shift": "0"},
    "US gal": {"kind": "volume", "times": "3.785411784", "over": "1", "shift": "0"},
    "qt": {"kind": "volume", "times": "0.946352946", "over": "1", "shift": "0"},
    "L": {"kind": "volume", "times": "1", "over": "1", "shift": "0"},
    "°F": {"kind": "temperature", "times": "5", "over": "9", "shift": "32"},
    "°C": {"kind": "temperature", "times": "1", "over": "1", "shift": "0"},
    "rpm": {"kind": "speed of rotation", "times": "1", "over": "1", "shift": "0"},
    "V": {"kind": "voltage", "times": "1", "over": "1", "shift": "0"},
    "A": {"kind": "current", "times": "1", "over": "1", "shift": "0"},
    "h": {"kind": "time", "times": "1", "over": "1", "shift": "0"},
    "°": {"kind": "angle", "times": "1", "over": "1", "shift": "0"},
    "ips": {"kind": "velocity", "times": "1", "over": "1", "shift": "0"},
    "g": {"kind": "mass", "times": "1", "over": "1", "shift": "0"},
    "turns": {"kind": "number of turns", "times": "1", "over": "1", "shift": "0"},
    "wires": {"kind": "number of wires", "times": "1", "over": "1", "shift": "0"},
    "strands": {"kind": "number of strands", "times": "1", "over": "1", "shift": "0"},
    "threads": {"kind": "number of threads", "times": "1", "over": "1", "shift": "0"},
    "%": {"kind": "share", "times": "1", "over": "1", "shift": "0"},
}


def check_unit(unit):
    """Return `unit` if it is one of UNITS, else raise Problem `unit_unknown`."""
    if unit not in UNITS:
        raise Problem("unit_unknown", unit=str(unit)[:40], units=", ".join(UNITS))
    return unit


def in_unit(value, from_unit, to_unit):
    """The ratio `value` in `from_unit` as an exact ratio in `to_unit`. Raises Problem for units that do not fit."""
    source, target = UNITS[check_unit(from_unit)], UNITS[check_unit(to_unit)]
    if source["kind"] != target["kind"]:
        raise Problem("unit_mismatch", unit=from_unit, other=to_unit)
    base = over(times(minus(value, ratio(source["shift"])), ratio(source["times"])), ratio(source["over"]))
    return plus(over(times(base, ratio(target["over"])), ratio(target["times"])), ratio(target["shift"]))


def span_in_unit(span, from_unit, to_unit):
    """As `in_unit`, for a difference of two values: 9 °F apart are 5 °C apart."""
    return minus(in_unit(span, from_unit, to_unit), in_unit(ratio("0"), from_unit, to_unit))


def convert(typed, from_unit, to_unit, places):
    """The typed number in another unit as decimal text with `places` decimals, for showing only."""
    return show(in_unit(ratio(typed), from_unit, to_unit), places)


def compare_with_unit(typed, unit, limit, limit_unit):
    """-1, 0 or 1 as the typed value in `unit` is below, at or above `limit` in `limit_unit`, exactly."""
    return compare(in_unit(ratio(typed), unit, limit_unit), ratio(limit))
