"""What the readings of each kind of field mean. `readings` is the door to this; the kinds stand in `template_field`.

A judge takes (field, reading) and returns [within, derived, stops]: within is True, False or None (nothing to judge by,
or something is missing), derived {name: text} is worked out from the typed text alone, stops are the [code, fields of
the sentence] of what keeps a pass from standing, beyond a value outside its limits.
"""

import re

from .compression import LEAKS, loss
from .engine_judges import judge_balance, judge_drop, judge_rate
from .guard import may_pass, outcome, uncertainty
from .harmonic import first_harmonic, shape_of
from .judging import (
    closed,
    decimals,
    exact_values,
    guard_stop,
    is_within,
    not_negative,
    stop,
    told_tolerance,
    within_all,
)
from .limits import limits_of
from .measurement import least, most, spread, step, total_indicator_reading
from .problems import Problem
from .ratio import compare, minus, ratio, show
from .table import between_rows
from .torque_judge import judge_torque
from .units import in_unit, span_in_unit

COUNT = re.compile(r"\d{1,3}\Z", re.ASCII)
BETTER_FIRST = ["pass", "conditional_pass", "tool_not_good_enough", "conditional_fail", "fail"]


def judge_measure(field, reading):
    """One value, or one at each station, each against its own limits."""
    values, limits = exact_values(field, reading), limits_of(field, reading)
    within = within_all(values, limits)
    if None in values:
        return [within, {}, []]
    derived = _row_facts(field, reading["values"])
    stops = _row_stops(field, reading, derived)
    told = [_told(reading, value, pair, field) for value, pair in zip(values, limits, strict=True)]
    decision = field.get("decision", "simple")
    if None not in told:
        derived["outcome"] = max(told, key=BETTER_FIRST.index)
        allowed = [may_pass(decision, is_within(pair, value) is True, found)
                   for value, pair, found in zip(values, limits, told, strict=True)]
        if False in allowed and within is True:
            stops.append(guard_stop(field, derived["outcome"]))
    elif decision != "simple":
        return [within if within is False else None, derived, [*stops, stop("tolerance_missing", field)]]
    return closed(field, within, derived, stops)


def _told(reading, value, pair, field):
    """How the tolerance of the tool judges one value; None without a tolerance or without limits."""
    inputs = reading["inputs"]
    if pair is None:
        return None
    width, percent = told_tolerance(inputs, "tolerance"), told_tolerance(inputs, "tolerance_percent")
    if width is None and percent is None:
        return None
    band = uncertainty(value, percent) if width is None else span_in_unit(ratio(width), reading["unit"], field["unit"])
    return outcome(value, pair["min"], pair["max"], band)


def _row_facts(field, values):
    derived = {}
    if "spread" in field:
        derived["spread"] = spread(values)
    if "step" in field:
        largest = step(values)
        derived |= {"step": largest["step"], "step_at": largest["at"]}
    if "wear" in field:
        name, worst = ("least", least(values)) if field["wear"] == "thickness" else ("most", most(values))
        derived |= {name: worst["value"], f"{name}_at": worst["at"]}
    return derived


def _row_stops(field, reading, derived):
    return [stop(f"{name}_outside", field) for name in ("spread", "step")
            if name in field and compare(span_in_unit(ratio(derived[name]), reading["unit"], field["unit"]),
                                         ratio(field[name])) > 0]


def judge_run_out(field, reading):
    """One turn of a dial: total indicator reading, and the shape behind it when the angles are known."""
    values = exact_values(field, reading)
    if None in values:
        return [None, {}, []]
    total = total_indicator_reading(reading["values"])
    derived = {"total": total}
    if "angles" in field:
        derived |= _shape(field, reading["values"], total)
    stops = _back_stops(field, reading)
    within = is_within(limits_of(field, reading)[0], in_unit(ratio(total), reading["unit"], field["unit"]))
    return [None if stops and within else within, derived, stops]


def _shape(field, values, total):
    found = first_harmonic([ratio(value) for value in values], [ratio(angle) for angle in field["angles"]])
    places = decimals(values) + 1
    high = show(found["high_spot"], 1)
    return {"eccentricity": show(found["eccentricity"], places), "residual": show(found["residual"], places),
            "high_spot": "0.0" if high == "360.0" else high, "shape": shape_of(found, ratio(total))}


def _back_stops(field, reading):
    if "return_within" not in field:
        return []
    if "back" not in reading["inputs"]:
        return [stop("back_missing", field)]
    moved = minus(ratio(reading["inputs"]["back"]), ratio(reading["values"][0]))
    apart = span_in_unit(moved, reading["unit"], field["unit"])
    allowed = ratio(field["return_within"])
    within = compare(apart, allowed) <= 0 and compare(minus(ratio("0"), apart), allowed) <= 0
    return [] if within else [stop("dial_moved", field)]


def judge_compression(field, reading):
    """Differential compression: the pressure each cylinder keeps of the supply pressure."""
    values, told = exact_values(field, reading), field["compression"]
    inputs = reading["inputs"]
    for name in sorted(inputs):
        if name.startswith("again_") and not COUNT.match(inputs[name]):
            raise Problem("again_wrong", value=inputs[name])
        if name.startswith("heard_") and inputs[name] not in LEAKS:
            raise Problem("choice_unknown", value=inputs[name], title=field["title"])
    if None in values:
        return [None, {}, []]
    derived = {f"loss_{number}": loss(ratio(told["supply"]), value) for number, value in enumerate(values, 1)}
    derived |= {"spread": spread(reading["values"]), "weakest": least(reading["values"])["at"]}
    stops = _row_stops(field, reading, derived)
    if any(compare(value, ratio(told["supply"])) > 0 for value in values):
        over_supply = {"title": field["title"], "supply": told["supply"], "unit": field["unit"]}
        stops.append(["pressure_above_supply", over_supply])
    if told["mode"] == "fixed_ratio":
        pair = limits_of(field, reading)[0]
    elif "master_orifice" not in inputs or not not_negative(inputs["master_orifice"]):
        return [None, derived, [*stops, stop("master_orifice_missing", field)]]
    else:
        pair = {"min": in_unit(ratio(inputs["master_orifice"]), reading["unit"], field["unit"]), "max": None}
    return closed(field, within_all(values, [pair] * len(values)), derived, stops)


def judge_look_up(field, reading):
    """A dial reading, turned by the two rows of the instrument's own table that stand around it."""
    if reading["values"] == [None]:
        return [None, {}, []]
    dial, inputs = ratio(_only(reading["values"])), reading["inputs"]
    if any(name not in inputs for name in ("dial_low", "result_low", "dial_high", "result_high")):
        return [None, {}, [stop("table_row_missing", field)]]
    rows = [[inputs["dial_low"], inputs["result_low"]], [inputs["dial_high"], inputs["result_high"]]]
    if rows[0] == rows[1]:
        if compare(dial, ratio(inputs["dial_low"])):
            raise Problem("table_outside", value=reading["values"][0], first=inputs["dial_low"],
                          last=inputs["dial_high"])
        [result] = [ratio(inputs["result_low"])]
    else:
        [result] = between_rows(rows, dial)
    derived = {"result": show(result, 2)}
    try:
        [pair] = limits_of(field, reading)
    except Problem as missing:
        return [None, derived, [[missing.code, missing.fields]]]
    return [is_within(pair, in_unit(result, reading["unit"], field["unit"])), derived, []]


def judge_choice(field, reading):
    """One of the options; acceptable or not when the card says which are."""
    chosen = reading["values"]
    if chosen == [None]:
        return [None, {}, []]
    if len(chosen) != 1 or chosen[0] not in field["options"]:
        return [False, {}, []]
    return [chosen[0] in field["acceptable"] if field["acceptable"] else None, {}, []]


def judge_text(field, reading):
    """A line of words is never judged."""
    return [None, {}, []]


def _only(values):
    if len(values) != 1:
        raise Problem("readings_none")
    return values[0]


JUDGES = {"measure": judge_measure, "run_out": judge_run_out, "torque": judge_torque, "compression": judge_compression,
          "drop": judge_drop, "rate": judge_rate, "look_up": judge_look_up, "balance": judge_balance,
          "choice": judge_choice, "scale": judge_choice, "text": judge_text}
