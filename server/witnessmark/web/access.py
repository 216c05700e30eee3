"""Who may call a route. Checked before anything of the request is read; a route that does not say is not served."""

from ipaddress import ip_address
from urllib.parse import urlsplit

from flask import current_app, g, request

from ..records.sessions import find_session
from ..rules.problems import Problem

ANYONE = "anyone"
SAFE = ("GET", "HEAD", "OPTIONS")
OWN_HEADER = "X-Witnessmark"
PERSON_HEADER = "X-Witnessmark-Person"
EVERY_ROLE = ("mechanic", "inspector", "author", "reader")
SECURE_COOKIE, PLAIN_COOKIE = "__Host-sid", "sid"


def may_call(*roles):
    """Say who may call a view: roles, or "anyone" for people who are not signed in."""
    def mark(view):
        view.may_call = roles
        return view
    return mark


def register(app):
    """Guard every route of this app. Call after all routes are known."""
    for endpoint, view in app.view_functions.items():
        if not getattr(view, "may_call", None):
            raise RuntimeError(f"the route {endpoint} does not say who may call it")
    app.before_request(_guard)


def person():
    """The facts of the person who is signed in."""
    return g.signed_in["person"]


def device():
    """The phone of the session."""
    return g.signed_in["device"]


def cookie_name():
    """The cookie of this request: the plain one only over HTTP on this very machine."""
    allowed = current_app.extensions["witnessmark_settings"].cookie == "auto"
    return PLAIN_COOKIE if allowed and not request.is_secure and _on_this_machine() else SECURE_COOKIE


def token():
    """The session token that came with this request, or None."""
    return request.cookies.get(cookie_name())


def _guard():
    _refuse_unknown_host()
    if request.endpoint is None:
        return
    if request.method not in SAFE:
        _refuse_foreign()
    roles = current_app.view_functions[request.endpoint].may_call
    if ANYONE in roles:
        return
    settings = current_app.extensions["witnessmark_settings"]
    g.signed_in = token() and find_session(token(), settings.session_idle_minutes * 60, settings.session_hours * 3600)
    if not g.signed_in:
        raise Problem("signed_in_nobody")
    # A phone handed over without a network still has the session of who held it before.
    if request.headers.get(PERSON_HEADER, person()["person"]) != person()["person"]:
        raise Problem("session_of_other")
    # Whose authority has run out can still read, send what their phone holds, and sign out.
    if not set(roles) & set(person()["roles"]) and set(roles) != set(EVERY_ROLE):
        raise Problem("role_needed", needs=" or ".join(roles))


def _refuse_unknown_host():
    """A stranger's page can point its own name at this server (DNS rebinding), but never an address or localhost."""
    name = _host_name()
    if name == "localhost" or _address(name) or name in current_app.extensions["witnessmark_settings"].names:
        return
    raise Problem("host_unknown", host=request.host)


def _refuse_foreign():
    """Three layers, each enough alone: Fetch Metadata (or Origin, in browsers without it), our own header, SameSite."""
    site, origin = request.headers.get("Sec-Fetch-Site"), request.headers.get("Origin")
    if site is not None and site != "same-origin":
        raise Problem("request_foreign")
    if (site is None or origin is not None) and not _own(origin):
        raise Problem("request_foreign")
    if request.headers.get(OWN_HEADER) != "1":
        raise Problem("request_header", header=OWN_HEADER, expected="1")


def _own(origin):
    try:
        return origin is not None and urlsplit(origin).netloc.lower() == request.host.lower()
    except ValueError:
        return False


def _on_this_machine():
    address = _address(_host_name())
    return address.is_loopback if address else _host_name() == "localhost"


def _host_name():
    """The name or address that was asked for, without port; "" when it is neither."""
    try:
        return (urlsplit(f"//{request.host}").hostname or "").removesuffix(".")
    except ValueError:
        return ""


def _address(name):
    try:
        return ip_address(name)
    except ValueError:
        return None
