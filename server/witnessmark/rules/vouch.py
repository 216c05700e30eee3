"""Vouching: one person signs that a new signing key is another's, who set it up before their eyes."""

from .shape import check_shape

VOUCH_STATEMENT = "I know this person, and saw them set up signing on their phone."
ID, KID = ["hex", 32], ["text", 43, 43]
UNLOCKED = ["object", {"by": ["one_of", ["code", "passkey"]], "at": ["time"], "use": ["int", 1, 1]}]
VOUCH = ["object", {"v": ["int", 1, 1], "server": ID, "kid": KID, "person": ID, "by": ID, "device": ID,
                    "statement": ["one_of", [VOUCH_STATEMENT]], "claimed_at": ["time"], "unlocked": UNLOCKED}]


def check_vouch(value):
    """Raise Problem `entry_shape` unless `value` is what a vouch says.

    {"v": 1, "server", "kid": the new key, "person": whose it is, "by": who vouches, "device": on which phone,
    "statement": VOUCH_STATEMENT, "claimed_at", "unlocked": {"by", "at", "use": 1, the code was given for it alone}}
    """
    check_shape(value, VOUCH, "vouch")
