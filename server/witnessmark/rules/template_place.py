"""A place in a card template while it is read: where it is, what stands there, and the faults found. Server only."""

import re
import unicodedata

from .template_text import Node

IDENTIFIER = re.compile(r"[a-z][a-z0-9_]{0,39}\Z")
UNPRINTABLE = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ufeff]")
MISSING = object()


class Place:
    """One value: its `node`, the `trail` of names that leads there, and the shared list of `faults`.

    Readers return the value, or None after noting a fault; reading goes on, so an author sees every fault at once.
    """

    def __init__(self, node, trail, faults, key=None):
        self.node, self.trail, self.faults, self.key = node, trail, faults, key

    def fault(self, found, advice, line=None):
        """Note that `found` stands here and that `advice` should; returns None."""
        file, *names = self.trail
        parts = [file, f"line {line or self.node.line}", *names, *([f"key {self.key}"] if self.key else [])]
        self.faults.append({"trail": ", ".join(parts), "found": found, "advice": advice})

    def members(self, name_key=None):
        """The Members of a mapping here, or None."""
        if not isinstance(self.node.value, dict):
            return self.fault(f"{quoted(self.node)} is not a group of keys.", "`key: value` lines, indented below")
        trail = self.trail
        named = self.node.value.get(name_key)
        if named is not None and isinstance(named.value, str):
            trail = [*trail, f"{name_key} {named.value[:40]}"]
        return Members(self.node, trail, self.faults)

    def text(self, most, least=1):
        """One line of text."""
        value = self.node.value
        if not isinstance(value, str):
            return self.fault("a list or a group of keys stands where text belongs.", "one line of text")
        value = unicodedata.normalize("NFC", " ".join(value.split()))
        if UNPRINTABLE.search(value):
            return self.fault(f"{quoted(self.node)} holds an unprintable character.", "plain text")
        if not least <= len(value) <= most:
            return self.fault(f"{quoted(self.node)} has {len(value)} characters.", f"{least} to {most} characters")
        return value

    def identifier(self):
        """A name for programs, such as tube_surface."""
        value = self.node.value
        if not isinstance(value, str) or not IDENTIFIER.match(value):
            return self.fault(f"{quoted(self.node)} cannot be a name.",
                              "small letters, digits and underscores, a letter first, at most 40")
        return value

    def one_of(self, choices):
        """One of the texts `choices`."""
        value = self.node.value
        if not isinstance(value, str) or value not in choices:
            return self.fault(f"{quoted(self.node)} is not one we know.", "one of: " + ", ".join(choices))
        return value

    def yes_no(self):
        """True for yes, False for no."""
        return {"yes": True, "no": False, None: None}[self.one_of(("yes", "no"))]

    def places(self, least, most):
        """The Places of a list's members."""
        if not isinstance(self.node.value, list):
            self.fault(f"{quoted(self.node)} is not a list.", "a list: `- ` before each member")
            return []
        count = len(self.node.value)
        if not least <= count <= most:
            self.fault(f"there are {count} members.", f"{least} to {most} of them")
        return [Place(node, self.trail, self.faults, self.key) for node in self.node.value]

    def texts(self, longest, least=0, most=12):
        """A list of texts, each once."""
        found = [place.text(longest) for place in self.places(least, most)]
        if len(set(found)) < len(found):
            self.fault("a member of the list stands twice.", "each once")
        return found


class Members:
    """The members of one mapping; what nobody takes is an unknown key."""

    def __init__(self, node, trail, faults):
        self.node, self.trail, self.faults, self.taken = node, trail, faults, []

    def take(self, key, read, default=MISSING):
        """`read(place)` of the member `key`; `default` when it is absent, a fault when there is no default."""
        self.taken.append(key)
        if key in self.node.value:
            return read(Place(self.node.value[key], self.trail, self.faults, key))
        if default is MISSING:
            return self.fault(f"the key {key} is missing.", f"`{key}: ` and its value")
        return default

    def done(self):
        """Refuse the keys that nobody took."""
        for key, node in self.node.value.items():
            if key not in self.taken:
                place = Place(node, self.trail, self.faults)
                place.fault(f"the key \"{key[:40]}\" does not belong here.", "one of: " + ", ".join(self.taken))

    def fault(self, found, advice):
        """Note a fault of the mapping as a whole; returns None."""
        return Place(self.node, self.trail, self.faults).fault(found, advice)


def quoted(node):
    """What stands there, short enough for a sentence."""
    if isinstance(node, Node) and isinstance(node.value, str):
        shown = "".join(character if character.isprintable() else "?" for character in node.value)
        return f"\"{shown[:60]}{'…' if len(shown) > 60 else ''}\""
    return "a list" if isinstance(node.value, list) else "a group of keys"
