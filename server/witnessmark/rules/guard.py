"""What a tool can tell: the tolerance of the tool as a guard band inside the limits.

The four outcomes and simple acceptance: ILAC-G8:09/2019, as retold by calibration laboratories. Proof only inside the
limits shrunk by the uncertainty on both sides, disproof only beyond them by it: ISO 14253-1, as retold. The band is as
wide as the tool's own tolerance, without a coverage factor.
"""

from .ratio import compare, minus, over, plus, ratio, times

ACCEPTED = {"guarded": ["pass"], "four_outcome": ["pass", "conditional_pass"]}


def uncertainty(value, percent):
    """The tolerance of the tool at the exact ratio `value`, as a ratio; `percent` of the reading as typed text."""
    size = times(value, ratio("-1")) if compare(value, ratio("0")) < 0 else value
    return over(times(size, ratio(percent)), ratio("100"))


def acceptance(low, high, u):
    """The limits shrunk by `u` on both sides: {"min", "max"}; all exact ratios, an open end is None.

    None when nothing is left between them (2u > high - low): the tool is not good enough.
    """
    if _is_empty(low, high, u):
        return None
    return {"min": _moved(low, plus, u), "max": _moved(high, minus, u)}


def outcome(value, low, high, u):
    """What the tool shows about `value`; exact ratios in one unit, an open end is None.

    "fail" (beyond a limit by more than u), "tool_not_good_enough" (nothing left between the guard bands),
    "conditional_fail" (beyond a limit by at most u), "conditional_pass" (inside, nearer than u), "pass".
    """
    if not _between(value, _moved(low, minus, u), _moved(high, plus, u)):
        return "fail"
    if _is_empty(low, high, u):
        return "tool_not_good_enough"
    if not _between(value, low, high):
        return "conditional_fail"
    return "pass" if _between(value, _moved(low, plus, u), _moved(high, minus, u)) else "conditional_pass"


def may_pass(decision, within, outcome):
    """Whether the card's `decision` rule lets a value pass: simple (or None) by `within` alone, else by `outcome`."""
    return outcome in ACCEPTED[decision] if decision in ACCEPTED else within is True


def _is_empty(low, high, u):
    return low is not None and high is not None and compare(plus(u, u), minus(high, low)) > 0


def _between(value, low, high):
    return (low is None or compare(value, low) >= 0) and (high is None or compare(value, high) <= 0)


def _moved(end, way, u):
    return None if end is None else way(end, u)
