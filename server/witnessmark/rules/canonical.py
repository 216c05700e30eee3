"""Canonical JSON (RFC 8785) without fractions.

Measured values travel as the text that was typed, so no floating-point number may occur; what is left of RFC 8785
is: members sorted by UTF-16 code units, no white space, the escapes of ECMAScript.
"""

import re
from json.encoder import encode_basestring

from .problems import Problem
from .strict_json import LONE_SURROGATE, SAFE_INTEGER, strict_parse

RECORD_KEY = re.compile(r"[a-z][a-z0-9_]*\Z")


def canonical_text(value):
    """The RFC 8785 text of `value` (str, int, bool, None, list, dict with str keys).

    Raises Problem for fractions, integers beyond 2^53-1, lone surrogates and other kinds.
    """
    if value is None or value is True or value is False:
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, int):
        return str(_safe_integer(value))
    if isinstance(value, list | tuple):
        return "[" + ",".join(canonical_text(item) for item in value) + "]"
    if isinstance(value, dict):
        return "{" + ",".join(_member(key, value[key]) for key in sorted(value, key=_utf16)) + "}"
    if isinstance(value, float):
        raise Problem("json_number", value=repr(value))
    raise Problem("json_kind", kind=type(value).__name__)


def read_canonical(text):
    """The value of `text`, which must be canonical to the byte. Raises Problem."""
    value = strict_parse(text)
    if canonical_text(value) != text:
        raise Problem("not_canonical")
    return value


def check_record_keys(value):
    """Refuse member names outside `[a-z][a-z0-9_]*` anywhere in `value`: the fence of everything that is signed."""
    stack = [value]
    while stack:
        node = stack.pop()
        if isinstance(node, dict):
            for key in node:
                if not RECORD_KEY.match(key):
                    raise Problem("json_key", key=key)
            stack.extend(node.values())
        elif isinstance(node, list):
            stack.extend(node)


def _member(key, value):
    if not isinstance(key, str):
        raise Problem("json_key", key=str(key))
    return _text(key) + ":" + canonical_text(value)


def _utf16(key):
    return key.encode("utf-16-be", "surrogatepass") if isinstance(key, str) else b""


def _text(value):
    if LONE_SURROGATE.search(value):
        raise Problem("json_text")
    return encode_basestring(value)


def _safe_integer(value):
    if abs(value) > SAFE_INTEGER:
        raise Problem("json_number", value=str(value)[:40])
    return value
