"""Single-plane balance with one trial weight, by influence coefficients.

Readings and weights are vectors: length and clock angle. influence = (second - first) / trial weight, correction =
-first / influence with the trial weight taken off again (R. B. McMillan, Rotating Machinery: Practical Solutions to
Unbalance and Misalignment, 2003, chapter 5, does the same with a ruler).

All clocks run the same way round: a weight moved on by one hour moves the reading on by one hour. A mark seen under a
strobe moves the other way (same book, page 73, "opposite the reference shift"): its clock must be read backwards,
12 minus what is seen, or the correction lands on the wrong side and makes the vibration worse.
"""

from .problems import Problem
from .ratio import compare, minus, over, plus, ratio, show, times
from .trig import arctangent, cosine, sine, square_root

NOTHING = ratio("0")
DEGREES_PER_HOUR = ratio("30")
HOURS = ratio("12")
HALF_TURN = ratio("180")


def clock_degrees(typed):
    """The angle of a clock reading in decimal hours ("3.5" is half past three), a ratio from 0 up to below 360.

    Raises Problem `clock_wrong` for anything but a number from 0 to 12.
    """
    try:
        hours = ratio(typed)
    except Problem:
        raise Problem("clock_wrong", value=str(typed)[:40]) from None
    if compare(hours, NOTHING) < 0 or compare(hours, HOURS) > 0:
        raise Problem("clock_wrong", value=typed)
    return NOTHING if compare(hours, HOURS) == 0 else times(hours, DEGREES_PER_HOUR)


def influence(first_ips, first_clock, trial_mass, trial_clock, second_ips, second_clock):
    """What one gram does, and the weight that takes the first reading away, from six typed texts.

    Amplitudes in ips, mass in grams, clocks in decimal hours. Texts: influence (ips per gram, 6 decimals) and its
    clock, correction_mass (grams, 2 decimals) and correction_clock (hours, 1 decimal, "12.0" at the top). Raises
    Problem `clock_wrong`, `number_unreadable`, `number_negative`, or `balance_no_effect` when the trial weight is
    nothing, has changed nothing, or so little that the correction has more than 15 digits.
    """
    first, mass, second = _size(first_ips), _size(trial_mass), _size(second_ips)
    first_at, trial_at, second_at = clock_degrees(first_clock), clock_degrees(trial_clock), clock_degrees(second_clock)
    along = minus(times(second, cosine(second_at)), times(first, cosine(first_at)))
    across = minus(times(second, sine(second_at)), times(first, sine(first_at)))
    square = plus(times(along, along), times(across, across))
    if compare(square, NOTHING) == 0 or compare(mass, NOTHING) == 0:
        raise Problem("balance_no_effect")
    effect_at, moved = arctangent(across, along), times(first, mass)
    correction = show(square_root(over(times(moved, moved), square), 2), 2)
    if not _is_weight(correction):
        raise Problem("balance_no_effect")
    return {
        "influence": show(square_root(over(square, times(mass, mass)), 6), 6),
        "influence_clock": _clock(minus(effect_at, trial_at)),
        "correction_mass": correction,
        "correction_clock": _clock(plus(minus(first_at, effect_at), plus(HALF_TURN, trial_at))),
    }


def two_blade(mass, clock):
    """What of a weight (grams, decimal hours, texts) can go on the blades, A at 12 and B at 6 o'clock.

    {"blade": "A", "B" or "none", "mass": grams along the blades, "left": grams across them}, two decimals each; the
    part across needs another place or another cure, such as moving the hub. Raises Problem `clock_wrong`,
    `number_unreadable` or `number_negative`.
    """
    size, angle = _size(mass), clock_degrees(clock)
    along, across = show(times(size, cosine(angle)), 2), show(times(size, sine(angle)), 2)
    blade = "none" if compare(ratio(along), NOTHING) == 0 else "B" if along.startswith("-") else "A"
    return {"blade": blade, "mass": along.lstrip("-"), "left": across.lstrip("-")}


def _is_weight(shown):
    """Whether the text is still a number by `ratio`: who draws the correction or splits it reads it again."""
    return len(shown) <= len("999999999999999.99")


def _size(typed):
    value = ratio(typed)
    if compare(value, NOTHING) < 0:
        raise Problem("number_negative", value=typed)
    return value


def _clock(degrees):
    """An angle between -360 and 900 degrees as it is read from a clock: never "0.0"."""
    shown = show(over(plus(degrees, times(HALF_TURN, ratio("2"))), DEGREES_PER_HOUR), 1)
    hours = ratio(shown)
    while compare(hours, HOURS) > 0:
        hours = minus(hours, HOURS)
    return show(HOURS if compare(hours, NOTHING) == 0 else hours, 1)
