"""What is inside the text of an entry that this server has taken in (so it was checked then, and is not again)."""

import json
from base64 import urlsafe_b64decode


def payload_of(text):
    """The payload of a kept entry's JWS text."""
    part = text.split(".")[1]
    return json.loads(urlsafe_b64decode(part + "=" * (-len(part) % 4)))
