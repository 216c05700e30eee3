"""A problem becomes an answer. The only status numbers for problems in the project."""

import errno
import logging
import secrets

from flask import jsonify, request
from werkzeug.exceptions import HTTPException

from ..records.database import DatabaseBusy, DiskFull
from ..rules.problems import Problem

log = logging.getLogger(__name__)

STATUS = {
    "signed_in_nobody": 401, "sign_in_wrong": 401, "sign_in_slow": 429, "sign_in_busy": 503,
    "role_needed": 403, "request_foreign": 403, "host_unknown": 421,
    "request_header": 415, "request_too_large": 413, "request_shape": 422, "request_gzip": 400,
    "not_found": 404, "method_refused": 405,
    "json_not_text": 400, "json_malformed": 400, "json_duplicate_key": 400, "json_number": 400, "json_text": 400,
    "json_key": 400, "json_too_deep": 400, "json_too_large": 413,
    "number_unreadable": 422, "unit_unknown": 422, "unit_mismatch": 422, "table_rows": 422,
    "photo_offset": 409, "photo_part": 422, "photo_too_large": 413, "photo_hash_wrong": 422, "photo_not_jpeg": 422,
    "photo_too_many_pixels": 422, "photo_room": 507,
    "paper_not_ready": 409, "session_of_other": 409, "vouch_wrong": 422, "certificate_taken": 422,
    "session_proof_wrong": 401, "enrolment_wrong": 422, "key_form": 422,
    "login_taken": 409, "login_reserved": 409, "last_author": 409, "password_short": 422, "certificate_missing": 422,
    "days_wrong": 422, "reason_needed": 422, "code_slot": 422, "code_incomplete": 422,
    "not_in_quarantine": 404, "already_resolved": 409, "not_admissible": 409,
    "database_busy": 503, "disk_full": 507, "server_failed": 500,
}
OTHERWISE = 400
OF_HTTP = {404: ("not_found", {"what": "page"}), 413: ("request_too_large", {"limit": "the allowed number of"})}


def shown(problem):
    """A problem as it travels."""
    return {"code": problem.code, "sentence": problem.sentence, "fields": problem.fields}


def register(app):
    """Answer every failure of this app with a sentence, never with a trace."""
    app.register_error_handler(Problem, _of_problem)
    app.register_error_handler(HTTPException, _of_http)
    app.register_error_handler(DatabaseBusy, lambda error: _of_problem(Problem("database_busy")))
    app.register_error_handler(DiskFull, lambda error: _of_problem(Problem("disk_full")))
    app.register_error_handler(OSError, _of_disk)
    app.register_error_handler(500, _of_failure)


def _of_problem(problem):
    answer = jsonify({"problem": shown(problem)})
    answer.status_code = STATUS.get(problem.code, OTHERWISE)
    if problem.code in ("paper_not_ready", "database_busy", "sign_in_busy"):
        answer.headers["Retry-After"] = "2"
    if problem.code == "sign_in_slow":
        answer.headers["Retry-After"] = str(problem.fields["seconds"])
    return answer


def _of_http(error):
    if error.code == 405:
        answer = _of_problem(Problem("method_refused", method=request.method))
        answer.headers["Allow"] = ", ".join(sorted(error.valid_methods or ()))
        return answer
    if error.code == 422 and getattr(error, "data", None):
        return _of_problem(_shape_problem(error.data["messages"]))
    code, fields = OF_HTTP.get(error.code, ("request_shape", {"at": "request", "why": error.name}))
    answer = _of_problem(Problem(code, **fields))
    answer.status_code = error.code or answer.status_code
    return answer


def _of_disk(error):
    return _of_problem(Problem("disk_full")) if error.errno in (errno.ENOSPC, errno.EDQUOT) else _of_failure(error)


def _of_failure(error):
    report = secrets.token_hex(4)
    logged_by_flask = getattr(error, "original_exception", None) is not None
    log.error("failure %s%s", report, ": the one above" if logged_by_flask else "",
              exc_info=None if logged_by_flask else error)
    return _of_problem(Problem("server_failed", report=report))


def _shape_problem(messages):
    """The first complaint of marshmallow, in a fixed order, as a problem."""
    trail, found = [], messages
    while not isinstance(found, list | str):
        name = sorted(found, key=str)[0]
        trail.append(str(name))
        found = found[name]
    why = found if isinstance(found, str) else str(found[0])
    return Problem("request_shape", at=".".join(trail), why=why.rstrip(".").lower())
