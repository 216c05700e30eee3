"""What the register knows of a tool beyond its name and its day, and what a reading takes over from that.

`facts` is None when nothing is known, or one of
    {"use": "torque_wrench", "unit", "full_scale", "graduation", "tolerance_percent", "length", "length_unit"}
        a unit of torque; the tolerance in percent of the reading; the length from grip to drive, for an extension
    {"use": "gauge", "unit", "tolerance", "graduation"}            any unit, the tolerance in that unit
    {"use": "tensiometer", "unit", "tables": [{"column", "rows": [[dial, result], ...]}, ...]}
        a unit of force; `column` names cable and riser. A table belongs to one serial number and to no other:
        NAVEDTRA 14018 fig. 9-23 prints 100 lb where TM 1-1500-204-23-9 fig. 7-6 prints 70 for the same reading.
Numbers are typed decimal texts from 0.00001 to 1000000; all but full_scale and the tables may be None.
"""

from .number import read_number
from .problems import Problem
from .ratio import compare, minus, ratio, show
from .shape import check_shape
from .table import rows_around
from .units import UNITS, check_unit, in_unit

NUMBER = ["text", 1, 36]
UNKNOWN_OR_NUMBER = ["null_or", NUMBER]
UNIT = ["text", 1, 20]
TABLE = ["object", {"column": ["text", 1, 60], "rows": ["list", ["list", ["text", 1, 36], 2], 100]}]
SHAPES = {
    "torque_wrench": ["object", {"use": ["text", 1, 20], "unit": UNIT, "full_scale": NUMBER,
                                 "graduation": UNKNOWN_OR_NUMBER, "tolerance_percent": UNKNOWN_OR_NUMBER,
                                 "length": UNKNOWN_OR_NUMBER, "length_unit": ["null_or", UNIT]}],
    "gauge": ["object", {"use": ["text", 1, 20], "unit": UNIT, "tolerance": UNKNOWN_OR_NUMBER,
                         "graduation": UNKNOWN_OR_NUMBER}],
    "tensiometer": ["object", {"use": ["text", 1, 20], "unit": UNIT, "tables": ["list", TABLE, 12]}],
}
LEAST, MOST = "0.00001", "1000000"
TURNED_DECIMALS = 9


def check_facts(facts):
    """Return `facts` when they have one of the forms above, else raise Problem.

    request_shape {at, why} · number_unreadable · unit_unknown · unit_mismatch · table_rows {why}, which names the
    column and the line that is wrong.
    """
    if facts is None:
        return None
    use = facts.get("use") if isinstance(facts, dict) else None
    if not isinstance(use, str) or use not in SHAPES:
        _refuse("facts.use", "it must be one of " + ", ".join(SHAPES))
    try:
        check_shape(facts, SHAPES[use], "facts")
    except Problem as refusal:
        raise Problem("request_shape", **refusal.fields) from None
    check_unit(facts["unit"])
    CHECKS[use](facts)
    return facts


def check_table(column, rows):
    """Return the `rows` of one column if they can be read between: two or more [dial, result], the dial rising.

    Raises Problem table_rows {why} for the first that is wrong.
    """
    if len(rows) < 2:
        _refuse_table(column, "it needs at least two lines, each a dial reading and its tension")
    for index, row in enumerate(rows):
        if len(row) != 2:
            _refuse_table(column, f"line {index + 1} must hold a dial reading and its tension")
        dial, result = ratio(row[0]), ratio(row[1])
        if compare(dial, ratio("0")) < 0 or compare(result, ratio("0")) < 0:
            _refuse_table(column, f"line {index + 1} is below zero")
        if index and compare(dial, ratio(rows[index - 1][0])) <= 0:
            _refuse_table(column, f"the dial reading of line {index + 1} must be above that of line {index}")
    return rows


def inputs_of(facts, unit):
    """What a reading in `unit` takes over from a torque wrench or gauge, as texts by the name of the input.

    full_scale, graduation, tolerance_percent, wrench_length with length_unit; or tolerance. Only what is known, turned
    into `unit` where the tool has another one. {} when the tool measures something else.
    """
    if facts is None or unit not in UNITS or UNITS[unit]["kind"] != UNITS[facts["unit"]]["kind"]:
        return {}
    if facts["use"] == "gauge":
        return _known({"tolerance": _turned(facts["tolerance"], facts["unit"], unit)})
    if facts["use"] != "torque_wrench":
        return {}
    return _known({
        "full_scale": _turned(facts["full_scale"], facts["unit"], unit),
        "graduation": _turned(facts["graduation"], facts["unit"], unit),
        "tolerance_percent": facts["tolerance_percent"],
        "wrench_length": facts["length"], "length_unit": facts["length_unit"]})


def row_inputs(facts, column, dial):
    """{"column", "dial_low", "result_low", "dial_high", "result_high"}: the two rows around the typed `dial` reading.

    The results are in the unit of `facts`. Both rows are the same one when the table holds the reading itself.
    Raises Problem table_outside, number_unreadable; table_rows when the tool has no such column.
    """
    tables = facts["tables"] if facts is not None and facts["use"] == "tensiometer" else []
    rows = next((table["rows"] for table in tables if table["column"] == column), None)
    if rows is None:
        raise Problem("table_rows", why=f"this tool has no column \"{str(column)[:60]}\"")
    low, high = rows_around(rows, ratio(dial))
    return {"column": column, "dial_low": low[0], "result_low": low[1], "dial_high": high[0], "result_high": high[1]}


def _check_wrench(facts):
    _check_kind(facts["unit"], "torque", "in-lbf")
    for name in ("full_scale", "graduation", "tolerance_percent", "length"):
        _check_amount(facts[name], f"facts.{name}")
    if facts["graduation"] is not None and compare(ratio(facts["graduation"]), ratio(facts["full_scale"])) >= 0:
        _refuse("facts.graduation", "it must be below the full scale")
    if facts["tolerance_percent"] is not None and compare(ratio(facts["tolerance_percent"]), ratio("100")) >= 0:
        _refuse("facts.tolerance_percent", "it must be below 100")
    if (facts["length"] is None) != (facts["length_unit"] is None):
        _refuse("facts.length_unit", "a length and its unit come together")
    if facts["length_unit"] is not None:
        _check_kind(facts["length_unit"], "length", "in")


def _check_gauge(facts):
    for name in ("tolerance", "graduation"):
        _check_amount(facts[name], f"facts.{name}")


def _check_tensiometer(facts):
    _check_kind(facts["unit"], "force", "lbf")
    if not facts["tables"]:
        raise Problem("table_rows", why="a tensiometer needs at least one column")
    columns = [table["column"] for table in facts["tables"]]
    for index, table in enumerate(facts["tables"]):
        if not table["column"].strip():
            raise Problem("table_rows", why=f"column {index + 1} has no name")
        if table["column"] in columns[:index]:
            _refuse_table(table["column"], "there are two columns of this name")
        check_table(table["column"], table["rows"])


CHECKS = {"torque_wrench": _check_wrench, "gauge": _check_gauge, "tensiometer": _check_tensiometer}


def _check_kind(unit, kind, example):
    if UNITS[check_unit(unit)]["kind"] != kind:
        raise Problem("unit_mismatch", unit=unit, other=example)


def _check_amount(typed, at):
    if typed is None:
        return
    amount = ratio(typed)
    if compare(amount, ratio(LEAST)) < 0 or compare(amount, ratio(MOST)) > 0:
        _refuse(at, f"it must be from {LEAST} to {MOST}")


def _turned(typed, unit, wanted):
    if typed is None or unit == wanted:
        return typed
    # A width, not a place on the scale: 1 °C of tolerance is 1.8 °F, not 33.8.
    width = minus(in_unit(ratio(typed), unit, wanted), in_unit(ratio("0"), unit, wanted))
    return read_number(show(width, TURNED_DECIMALS))


def _known(inputs):
    return {name: text for name, text in inputs.items() if text is not None}


def _refuse(at, why):
    raise Problem("request_shape", at=at, why=why)


def _refuse_table(column, why):
    raise Problem("table_rows", why=f"in \"{column}\" {why}")
