"""base64url without padding (RFC 4648 section 5, RFC 7515 section 2), read strictly.

Usual decoders skip what they do not know, so that many texts mean the same bytes; here each value has one text.
"""

import base64
import re

from .problems import Problem

ALPHABET = re.compile(r"[A-Za-z0-9_-]*")


def base64url_text(data):
    """The text of `data` (bytes), without padding."""
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode("ascii")


def base64url_bytes(text, what="text"):
    """The bytes of `text`.

    Raises Problem `base64url_wrong` for padding, white space, other characters, an impossible length and
    unused bits that are not zero; `what` names the text in the sentence.
    """
    if not isinstance(text, str) or not ALPHABET.fullmatch(text) or len(text) % 4 == 1:
        raise Problem("base64url_wrong", what=what)
    data = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
    if base64url_text(data) != text:
        raise Problem("base64url_wrong", what=what)
    return data


def base64url_of_hex(digits):
    """The base64url text of bytes written as hexadecimal `digits`. Raises ValueError for other text."""
    return base64url_text(bytes.fromhex(digits))


def hex_of_base64url(text):
    """The bytes of the base64url `text` as small hexadecimal digits. Raises Problem `base64url_wrong`."""
    return base64url_bytes(text).hex()
