"""A small language of shapes for signed data: what a value must be, with nothing missing and nothing extra.

["text", least, most] · ["lines", least, most] (may hold line breaks) · ["hex", digits] · ["int", least, most] ·
["one_of", [texts]] · ["null_or", shape] · ["list", shape, most] · ["ids", most] (sorted, unique, 64 hex digits) ·
["any"] · ["map", shape, most] (names are ours to choose) · ["object", {name: shape}] · ["time"] (UTC to the second) ·
["day"] (a calendar day, 2026-11-25) · ["yes_no"] (true or false)
"""

import re

from .problems import Problem

CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]")
CONTROL_BUT_BREAK = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029]")
TIME = re.compile(r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])T([01]\d|2[0-3]):[0-5]\d:[0-5]\dZ\Z", re.ASCII)
DAY = re.compile(r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])\Z", re.ASCII)
HEX = re.compile(r"[0-9a-f]+\Z")
NAME = re.compile(r"[a-z][a-z0-9_]{0,39}\Z")


def check_shape(value, shape, at):
    """Raise Problem `entry_shape` (fields `at`, `why`) unless `value` has the `shape`."""
    CHECKS[shape[0]](value, shape, at)


def _refuse(at, why):
    raise Problem("entry_shape", at=at, why=why)


def _length(value):
    # Counted in UTF-16 units, as JavaScript counts, so that both sides draw the line at the same text.
    return len(value.encode("utf-16-le", "surrogatepass")) // 2


def _text(value, shape, at, control=CONTROL):
    if not isinstance(value, str):
        _refuse(at, "it must be text")
    if not shape[1] <= _length(value) <= shape[2]:
        _refuse(at, f"it must have {shape[1]} to {shape[2]} characters")
    if control.search(value):
        _refuse(at, "it holds a control character")


def _lines(value, shape, at):
    _text(value, shape, at, CONTROL_BUT_BREAK)


def _hex(value, shape, at):
    if not isinstance(value, str) or len(value) != shape[1] or not HEX.match(value):
        _refuse(at, f"it must be {shape[1]} hexadecimal digits")


def _int(value, shape, at):
    if not isinstance(value, int) or isinstance(value, bool) or not shape[1] <= value <= shape[2]:
        _refuse(at, f"it must be a whole number from {shape[1]} to {shape[2]}")


def _one_of(value, shape, at):
    if not isinstance(value, str) or value not in shape[1]:
        _refuse(at, "it must be one of " + ", ".join(shape[1]))


def _null_or(value, shape, at):
    if value is not None:
        check_shape(value, shape[1], at)


def _list(value, shape, at):
    if not isinstance(value, list):
        _refuse(at, "it must be a list")
    if len(value) > shape[2]:
        _refuse(at, f"it must have at most {shape[2]} members")
    for index, member in enumerate(value):
        check_shape(member, shape[1], f"{at}[{index}]")


def _ids(value, shape, at):
    _list(value, ["list", ["hex", 64], shape[1]], at)
    if value != sorted(set(value)):
        _refuse(at, "it must be sorted, each once")


def _map(value, shape, at):
    if not isinstance(value, dict):
        _refuse(at, "it must be an object")
    if len(value) > shape[2]:
        _refuse(at, f"it must have at most {shape[2]} members")
    for name in sorted(value):
        if not NAME.match(name):
            _refuse(at, "its names must be small letters, digits and underscores")
        check_shape(value[name], shape[1], f"{at}.{name}")


def _object(value, shape, at):
    if not isinstance(value, dict):
        _refuse(at, "it must be an object")
    for name in sorted(shape[1]):
        if name not in value:
            _refuse(f"{at}.{name}", "it is missing")
        check_shape(value[name], shape[1][name], f"{at}.{name}")
    if len(value) > len(shape[1]):
        _refuse(at, "it has a member that does not belong there")


def _time(value, shape, at):
    if not isinstance(value, str) or not TIME.match(value):
        _refuse(at, "it must be a UTC time such as 2026-11-25T08:00:00Z")


def _day(value, shape, at):
    if not isinstance(value, str) or not DAY.match(value):
        _refuse(at, "it must be a day such as 2026-11-25")


def _yes_no(value, shape, at):
    if not isinstance(value, bool):
        _refuse(at, "it must be true or false")


def _any(value, shape, at):
    """The body: its own shape is checked once its kind is known."""


CHECKS = {"any": _any, "text": _text, "lines": _lines, "hex": _hex, "int": _int, "one_of": _one_of, "null_or": _null_or,
          "list": _list, "ids": _ids, "map": _map, "object": _object, "time": _time,
          "day": _day, "yes_no": _yes_no}
