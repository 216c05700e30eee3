"""Reading a request's body: strictly, within limits, before marshmallow sees it."""

import zlib

from flask import current_app, request
from webargs.flaskparser import FlaskParser

from ..rules.problems import Problem
from ..rules.strict_json import strict_parse

JSON_TYPE = "application/json"
BYTES_TYPE = "application/octet-stream"


class StrictParser(FlaskParser):
    """webargs, with our reader of JSON instead of Python's."""

    def load_json(self, req, schema):
        return strict_parse(_text(_unpacked()))


def raw_bytes(limit):
    """The body of a request that carries bytes, at most `limit` of them. Raises Problem."""
    _check_type(BYTES_TYPE)
    _refuse_packing()
    return _body(limit)


def _unpacked():
    _check_type(JSON_TYPE)
    settings = current_app.extensions["witnessmark_settings"]
    if not getattr(current_app.view_functions[request.endpoint], "takes_gzip", False):
        _refuse_packing()
        return _body(settings.max_request)
    if request.headers.get("Content-Encoding") is None:
        # A browser that cannot pack sends the same exchange at its full size.
        request.max_content_length = settings.max_unpacked
        return _body(settings.max_unpacked)
    if request.headers["Content-Encoding"].strip().lower() != "gzip":
        raise Problem("request_header", header="Content-Encoding", expected="gzip, or absent")
    return _gunzip(_body(settings.max_request), settings.max_unpacked)


def takes_gzip(view):
    """Mark a view whose request body may come packed with gzip."""
    view.takes_gzip = True
    return view


def _gunzip(data, limit):
    """The one gzip member in `data`, at most `limit` bytes unpacked: a small bomb must not fill the memory."""
    unpacker = zlib.decompressobj(wbits=31)
    try:
        text = unpacker.decompress(data, limit + 1)
    except zlib.error:
        raise Problem("request_gzip") from None
    if len(text) > limit:
        raise Problem("request_too_large", limit=limit)
    if not unpacker.eof or unpacker.unused_data:
        raise Problem("request_gzip")
    return text


def _body(limit):
    # The app's own limit stands in front of this one, so no more than that is ever read.
    data = request.get_data(cache=False)
    if len(data) > limit:
        raise Problem("request_too_large", limit=limit)
    return data


def _text(data):
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise Problem("json_not_text") from None


def _check_type(wanted):
    if request.mimetype != wanted:
        raise Problem("request_header", header="Content-Type", expected=wanted)


def _refuse_packing():
    if request.headers.get("Content-Encoding") is not None:
        raise Problem("request_header", header="Content-Encoding", expected="absent")
