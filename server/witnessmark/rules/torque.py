"""Torque at the fastener: friction drag, an extension on the wrench, and whether the wrench suits.

setting = wanted * L / (L + A cos a) and applied = setting * (L + A cos a) / L, with L from the centre of the grip to
the centre of the drive, A from the drive to the fastener, minus when it points back, and a the angle between them
(US Army TM 1-1500-204-23-9 par. 8-5; the angle: TM 9-254 fig. 46, US Navy NAVEDTRA 14315 fig. 3-45).
Drag is added before that: AC 43.13-1B par. 7-40 d, f and g, then h.
"""

from .number import read_number
from .problems import Problem
from .ratio import compare, minus, over, plus, ratio, show, times
from .trig import cosine

NOTHING = ratio("0")


def applied_torque(setting, wrench_length, extension, angle="0"):
    """The exact ratio of torque at the fastener; both lengths in one unit, the torque in the unit of `setting`.

    All are typed texts; `angle` in degrees, 0 in line. Raises Problem `torque_geometry` unless L > 0 and
    L + A cos a > 0.
    """
    return drag_at_fastener(setting, wrench_length, extension, angle)


def drag_at_fastener(drag, wrench_length, extension, angle="0"):
    """The exact ratio at the fastener of a drag torque that the wrench showed through the extension."""
    length, effective = _lever(wrench_length, extension, angle)
    return over(times(ratio(drag), effective), length)


def wrench_setting(wanted, wrench_length, extension, places, angle="0"):
    """What to set on the wrench for the `wanted` torque, as decimal text with `places` decimals."""
    length, effective = _lever(wrench_length, extension, angle)
    return show(over(times(ratio(wanted), length), effective), places)


def window(limits, drag):
    """The torque range at the fastener when the friction drag is on top (AC 43.13-1B par. 7-40 d and f).

    `limits` {"min", "max"} and `drag` are exact ratios in one unit, an open end is None. A castle nut is taken to the
    lower end, then on to the next slot, never above the upper end. Raises Problem `number_negative` for a drag below 0.
    """
    if compare(drag, NOTHING) < 0:
        raise Problem("number_negative", value=read_number(show(drag, 2)))
    return {end: None if limits[end] is None else plus(limits[end], drag) for end in ("min", "max")}


def setting_range(wanted, wrench_length, extension, angle):
    """What to set on the wrench to stay inside the window `wanted` {"min", "max"} of exact ratios, as decimal texts.

    The ends are rounded inward, so that no setting shown lies outside: from 1000 to a whole number, from 10 to one
    decimal, below to two. A window narrower than that is shown to two decimals. Lengths and angle are typed texts, or
    None without an extension.
    """
    length, effective = _lever(wrench_length, extension, angle or "0") if wrench_length else (ratio("1"), ratio("1"))
    ends = [None if wanted[end] is None else over(times(wanted[end], length), effective) for end in ("min", "max")]
    low, high = ends
    places = 2 - sum(all(end is None or compare(end, ratio(least)) >= 0 for end in ends) for least in ("10", "1000"))
    texts = [None if low is None else _inward(low, places, 1), None if high is None else _inward(high, places, -1)]
    if low is not None and high is not None and compare(ratio(texts[0]), ratio(texts[1])) > 0:
        texts = [show(low, 2), show(high, 2)]
    return {"min": texts[0] and read_number(texts[0]), "max": texts[1] and read_number(texts[1])}


def wrench_advice(setting, full_scale, graduation):
    """What speaks against a wrench for the `setting`: sorted codes. All typed texts in one unit, graduation or None.

    Stops: `wrench_below_range` (under 20 % of full scale), `wrench_above_range` (over full scale). Advice:
    `wrench_ill_suited` (outside 30 to 80 %), `graduation_coarse` (over 10 % of the torque).
    Source: US Army TM 1-1500-204-23-9 par. 8-3 and table 8-1.
    """
    torque, full = ratio(setting), ratio(full_scale)
    percent = times(torque, ratio("100"))
    found = []
    if graduation is not None and compare(times(ratio(graduation), ratio("10")), torque) > 0:
        found.append("graduation_coarse")
    if compare(torque, full) > 0:
        found.append("wrench_above_range")
    elif compare(percent, times(full, ratio("20"))) < 0:
        found.append("wrench_below_range")
    elif compare(percent, times(full, ratio("30"))) < 0 or compare(percent, times(full, ratio("80"))) > 0:
        found.append("wrench_ill_suited")
    return sorted(found)


def show_torque(applied):
    """An applied torque as it is shown and recorded: two decimals."""
    return show(applied, 2)


def _lever(wrench_length, extension, angle):
    length = ratio(wrench_length)
    effective = plus(length, times(ratio(extension), cosine(ratio(angle))))
    if compare(length, NOTHING) <= 0 or compare(effective, NOTHING) <= 0:
        raise Problem("torque_geometry")
    return length, effective


def _inward(exact, places, direction):
    """The nearest text with `places` decimals at or above (direction 1) or at or below (-1) `exact`."""
    text = show(exact, places)
    if compare(ratio(text), exact) * direction >= 0:
        return text
    smallest = over(ratio("1"), ratio("1" + "0" * places))
    return show((plus if direction > 0 else minus)(ratio(text), smallest), places)
