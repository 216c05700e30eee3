"""What a fall of rpm, a rate per hour and a balance run mean. See `judges`."""

from .balance import influence
from .judging import closed, exact_values, is_within, not_negative, stop, within_all
from .limits import limits_of
from .measurement import drops, hours_run, per_hour, spread
from .ratio import compare, minus, over, ratio
from .units import in_unit, span_in_unit

RUNS = ("first_ips", "first_clock", "trial_mass", "trial_clock", "second_ips", "second_clock")


def judge_drop(field, reading):
    """How far each value falls from the base, for example the rpm on one magneto from that on both."""
    values, inputs = exact_values(field, reading), reading["inputs"]
    if "base" not in inputs:
        taken = any(value is not None for value in values)
        return [None, {}, [stop("base_missing", field)] if taken else []]
    if None in values:
        return [None, {}, []]
    base = in_unit(ratio(inputs["base"]), reading["unit"], field["unit"])
    fallen = [minus(base, value) for value in values]
    shown = drops(inputs["base"], reading["values"])
    derived = {f"drop_{number}": text for number, text in enumerate(shown, 1)} | {"difference": spread(shown)}
    stops = []
    if any(compare(one, ratio("0")) <= 0 for one in fallen):
        stops.append(stop("drop_suspect", field))
    apart = span_in_unit(ratio(derived["difference"]), reading["unit"], field["unit"])
    if "difference" in field and compare(apart, ratio(field["difference"])) > 0:
        stops.append(stop("spread_outside", field))
    within = within_all(fallen, limits_of(field, reading))
    return closed(field, within, derived, stops)


def judge_rate(field, reading):
    """An amount used over the hours between two readings of the hour-meter; the limits are per hour."""
    [value] = exact_values(field, reading)
    if value is None:
        return [None, {}, []]
    inputs = reading["inputs"]
    if "hours_then" not in inputs or "hours_now" not in inputs:
        return [None, {}, [stop("hours_missing", field)]]
    not_negative(reading["values"][0])
    hours = hours_run(inputs["hours_then"], inputs["hours_now"])
    derived = {"hours": hours, "per_hour": per_hour(reading["values"][0], hours)}
    [pair] = limits_of(field, reading)
    return [is_within(pair, over(value, ratio(hours))), derived, []]


def judge_balance(field, reading):
    """The amplitude of the last run; the correction when a first run and one with a trial weight were made."""
    [value] = exact_values(field, reading)
    inputs = reading["inputs"]
    given = [name for name in RUNS if name in inputs]
    derived = influence(*(inputs[name] for name in RUNS)) if len(given) == len(RUNS) else {}
    if value is None:
        return [None, derived, []]
    not_negative(reading["values"][0])
    [pair] = limits_of(field, reading)
    stops = [stop("balance_missing", field)] if 0 < len(given) < len(RUNS) else []
    within = is_within(pair, value)
    return [None if stops and within else within, derived, stops]
