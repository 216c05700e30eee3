"""What a card and its items say of the inspection they belong to. Server only.

Each key stands in the JSON only when the card gives it, so that a revision from before it was known keeps its name.

card: belongs_to, the inspections that this card is a part of · item: covers, codes of the duties in `coverage` that
the item fulfils; system, the system of the helicopter that it looks at
"""

from .coverage import DUTIES

BELONGS_TO = ("before_flight", "hours_25", "hours_50", "hours_100", "annual", "special")
SYSTEMS = ("main_rotor", "tail_rotor", "drive_train", "controls", "engine", "fuel", "oil", "electrical", "instruments",
           "landing_gear", "cabin", "airframe")


def read_belongs_to(members):
    """{"belongs_to": [...]} of a card, or {}; faults are noted with `members`."""
    return _given(members, {"belongs_to": lambda at: _each_once(at, BELONGS_TO)})


def read_item_keys(members):
    """{"covers": [...], "system": ...} of an item, each when given; faults are noted with `members`."""
    return _given(members, {"covers": lambda at: _each_once(at, tuple(DUTIES)),
                            "system": lambda at: at.one_of(SYSTEMS)})


def _given(members, readers):
    found = {key: members.take(key, read, None) for key, read in readers.items()}
    return {key: value for key, value in found.items() if members.has(key)}


def _each_once(place, choices):
    found = [one.one_of(choices) for one in place.places(1, len(choices))]
    named = [value for value in found if value is not None]
    if len(set(named)) < len(named):
        place.fault("a member of the list stands twice.", "each once")
    return found
