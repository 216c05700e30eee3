"""Torque through an extension in line with the wrench.

setting = wanted * L / (L + A) and applied = setting * (L + A) / L, with L from the centre of the grip to the centre
of the drive and A from the drive to the fastener, minus when it points back (US Army TM 1-1500-204-23-9 par. 8-5).
"""

from .problems import Problem
from .ratio import compare, over, plus, ratio, show, times


def applied_torque(setting, wrench_length, extension):
    """The exact ratio of torque at the fastener; both lengths in one unit, the torque in the unit of `setting`.

    Raises Problem `torque_geometry` unless L > 0 and L + A > 0.
    """
    length, effective = _lever(wrench_length, extension)
    return over(times(ratio(setting), effective), length)


def wrench_setting(wanted, wrench_length, extension, places):
    """What to set on the wrench for the `wanted` torque, as decimal text with `places` decimals."""
    length, effective = _lever(wrench_length, extension)
    return show(over(times(ratio(wanted), length), effective), places)


def show_torque(applied):
    """An applied torque as it is shown and recorded: two decimals."""
    return show(applied, 2)


def _lever(wrench_length, extension):
    length = ratio(wrench_length)
    effective = plus(length, ratio(extension))
    nothing = ratio("0")
    if compare(length, nothing) <= 0 or compare(effective, nothing) <= 0:
        raise Problem("torque_geometry")
    return length, effective
