"""The advice of `lint` that the author of a card overrules, each with the reason. Server only.

overruled: [{rule, item, reason}] on the card, in its JSON only when given, so that a revision from before it was known
keeps its name. Without `item` it holds for the whole card.
"""

from .lint_words import RULES


def read_overruled(members, zones):
    """{"overruled": [...]} or {}; `zones` are those read so far. Faults are noted with `members`."""
    items = {item["item"] for zone in zones or () if zone for item in zone["items"] or () if item}
    found = members.take("overruled", lambda at: [_ruling(one, items) for one in at.places(1, 40)], None)
    if found is None:
        return {}
    whom = [(one["rule"], one.get("item")) for one in found if one]
    if len(set(whom)) < len(whom):
        members.fault("the same advice is overruled twice.", "each once, with one reason")
    return {"overruled": found}


def _ruling(place, items):
    members = place.members("rule")
    if members is None:
        return None
    ruling = {"rule": members.take("rule", _rule)}
    item = members.take("item", lambda at: at.identifier(), None)
    if members.has("item"):
        ruling["item"] = item
    if item is not None and item not in items:
        members.fault(f"no item of this card is called \"{item}\".", "the name of an item, or no `item` for the card")
    ruling["reason"] = members.take("reason", lambda at: at.text(400, 10))
    members.done()
    return ruling


def _rule(place):
    advice = tuple(rule for rule, facts in RULES.items() if facts["level"] == "advice" and rule != "overruled_nothing")
    rule = place.node.value
    if isinstance(rule, str) and rule in RULES and rule not in advice:
        return place.fault(f"\"{rule}\" cannot be overruled.", "the card so that the rule is kept")
    return place.one_of(advice)
