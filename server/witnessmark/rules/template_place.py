"""A place in a card template while it is read: where it is, what stands there, and the faults found. Server only."""

import re
import unicodedata

from .template_text import code_point, hidden, shown

IDENTIFIER = re.compile(r"[a-z][a-z0-9_]{0,39}\Z")
BLANKS = re.compile(r"[ \n\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000]+")
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
            trail = [*trail, f"{name_key} {shown(named.value, 40)}"]
        return Members(self.node, trail, self.faults)

    def text(self, most, least=1):
        """One line of text."""
        value = self.node.value
        if not isinstance(value, str):
            return self.fault("a list or a group of keys stands where text belongs.", "one line of text")
        if hidden(value):
            return self.fault(f"{quoted(self.node)} holds {code_point(hidden(value))}, which does not show.",
                              "the text without that character")
        value = unicodedata.normalize("NFC", BLANKS.sub(" ", value).strip(" "))
        if not least <= len(value) <= most:
            return self.fault(f"{quoted(self.node)} has {len(value)} characters.", f"{least} to {most} characters")
        return value

    def identifier(self, taken=None):
        """A name for programs, such as tube_surface; `taken` holds the names of its kind so far, with their lines."""
        value = self.node.value
        if not isinstance(value, str) or not IDENTIFIER.match(value):
            return self.fault(f"{quoted(self.node)} cannot be a name.",
                              "small letters, digits and underscores, a letter first, at most 40")
        if taken is not None and value in taken:
            return self.fault(f"{quoted(self.node)} stands twice, first in line {taken[value]}.",
                              f"another name for one of them: each {self.key} needs its own")
        if taken is not None:
            taken[value] = self.node.line
        return value

    def one_of(self, choices):
        """One of the texts `choices`."""
        value = self.node.value
        if not isinstance(value, str) or value not in choices:
            return self.fault(f"{quoted(self.node)} is not a {self.key} we know.", "one of: " + ", ".join(choices))
        return value

    def yes_no(self):
        """True for yes, False for no."""
        if self.node.value not in ("yes", "no"):
            return self.fault(f"{quoted(self.node)} is neither yes nor no.", "one of: yes, no")
        return self.node.value == "yes"

    def places(self, least, most):
        """The Places of a list's members."""
        if not isinstance(self.node.value, list):
            self.fault(f"{quoted(self.node)} is not a list.", "a list: `- ` before each member")
            return []
        count = len(self.node.value)
        if not least <= count <= most:
            self.fault(f"the number of members is {count}.", f"{least} to {most} of them")
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

    def has(self, key):
        """Whether the key stands there, whatever its value."""
        return key in self.node.value

    def done(self):
        """Refuse the keys that nobody took."""
        for key, node in self.node.value.items():
            if key not in self.taken:
                place = Place(node, self.trail, self.faults)
                place.fault(f"the key \"{shown(key, 40)}\" does not belong here.", "one of: " + ", ".join(self.taken),
                            node.key_line)

    def fault(self, found, advice):
        """Note a fault of the mapping as a whole; returns None."""
        return Place(self.node, self.trail, self.faults).fault(found, advice)


def quoted(node):
    """What stands there, short enough for a sentence."""
    if isinstance(node.value, str):
        return f"\"{shown(node.value)}\""
    return "a list" if isinstance(node.value, list) else "a group of keys"
