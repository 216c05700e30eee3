"""What every answer carries: the content policy, the other safety headers, and gzip where the asker takes it."""

import gzip

from flask import request

# `lit-html` is the policy name of Lit, `sw` that of our service-worker registration.
CONTENT_POLICY = "; ".join((
    "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' blob:", "font-src 'self'",
    "connect-src 'self'", "manifest-src 'self'", "worker-src 'self'", "base-uri 'none'", "form-action 'none'",
    "frame-ancestors 'none'", "require-trusted-types-for 'script'", "trusted-types lit-html sw"))
PHOTO_POLICY = "sandbox; default-src 'none'"
FIXED = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=(), payment=(), usb=()",
    "X-Frame-Options": "DENY",
}
PACKED_TYPES = ("application/json", "text/", "application/manifest+json", "image/svg+xml")
WORTH_PACKING = 400


def register(app):
    """Put the headers on every answer of this app."""
    app.after_request(_add_headers)
    app.after_request(_pack)


def _add_headers(answer):
    answer.headers.setdefault("Content-Security-Policy", CONTENT_POLICY)
    for name, value in FIXED.items():
        answer.headers[name] = value
    if request.is_secure:
        answer.headers["Strict-Transport-Security"] = "max-age=31536000"
    answer.headers.setdefault("Cache-Control", "no-store")
    return answer


def _pack(answer):
    if not answer.mimetype.startswith(PACKED_TYPES) or answer.direct_passthrough:
        return answer
    answer.vary.add("Accept-Encoding")
    takes = request.accept_encodings.quality("gzip") > 0
    body = answer.get_data()
    if takes and len(body) >= WORTH_PACKING and "Content-Encoding" not in answer.headers:
        answer.set_data(gzip.compress(body, 6, mtime=0))
        answer.headers["Content-Encoding"] = "gzip"
    return answer
