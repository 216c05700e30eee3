"""The strict reader of JSON from outside: refuses whatever two readers could take differently. Server only.

The phone needs no twin: it reads only canonical texts (`canonical.read_canonical`), and a text with a doubled name,
a fraction or any other doubt is not canonical.
"""

import json
import re

from .problems import Problem

SAFE_INTEGER = 2**53 - 1
LONE_SURROGATE = re.compile("[\ud800-\udfff]")


def strict_parse(text, max_depth=16, max_nodes=20000):
    """The value of the JSON `text`, refusing all that two readers could take differently.

    Refused: duplicate names, fractions and exponents, NaN and Infinity, integers beyond 2^53-1, lone surrogates,
    more than `max_depth` levels or `max_nodes` values. Raises Problem only.
    """
    _check_depth(text, max_depth)
    try:
        value = json.loads(text, object_pairs_hook=_unique_members, parse_float=_no_fraction,
                           parse_constant=_no_fraction, parse_int=_whole)
    except ValueError as error:
        raise Problem("json_malformed", detail=_where(error)) from None
    _check_nodes(value, max_nodes)
    return value


def _whole(digits):
    if len(digits) > 17:
        raise Problem("json_number", value=_short(digits))
    if digits == "-0":
        raise Problem("json_number", value=digits)
    if abs(int(digits)) > SAFE_INTEGER:
        raise Problem("json_number", value=digits)
    return int(digits)


def _no_fraction(digits):
    raise Problem("json_number", value=_short(digits))


def _unique_members(pairs):
    members = {}
    for key, value in pairs:
        # Before any refusal quotes it: half a character can be neither kept nor sent.
        _check_text(key)
        if key in members:
            raise Problem("json_duplicate_key", key=_short(key))
        members[key] = value
    return members


def _check_depth(text, limit):
    # Counted before json.loads, whose recursion would end in RecursionError on a deep text.
    depth, in_string, escaped = 0, False, False
    for character in text:
        if in_string:
            if escaped:
                escaped = False
            elif character == "\\":
                escaped = True
            elif character == '"':
                in_string = False
        elif character == '"':
            in_string = True
        elif character in "[{":
            depth += 1
            if depth > limit:
                raise Problem("json_too_deep", limit=limit)
        elif character in "]}":
            depth -= 1


def _check_nodes(value, limit):
    stack, seen = [value], 0
    while stack:
        node = stack.pop()
        seen += 1
        if seen > limit:
            raise Problem("json_too_large", limit=limit)
        if isinstance(node, dict):
            stack.extend(node.values())
        elif isinstance(node, list):
            stack.extend(node)
        elif isinstance(node, str):
            _check_text(node)


def _where(error):
    return f"at character {error.pos}" if isinstance(error, json.JSONDecodeError) else "unreadable"


def _short(text):
    return text if len(text) <= 40 else text[:40] + "…"


def _check_text(text):
    if LONE_SURROGATE.search(text):
        raise Problem("json_text")
