"""The strict reading of a card template's YAML: lists, mappings and text, each with its line, and nothing else.

No anchors, aliases, tags, merge keys, directives, second documents or doubled keys; a scalar stays the text that
stands there (`no`, `012`, `1:30` and `null` are text). Server only: the phone gets finished JSON.
"""

import re
import unicodedata
from dataclasses import dataclass

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

LARGEST = 256 * 1024
DEEPEST = 20
MOST_NODES = 20000
DIRECTIVE = re.compile(r"(?:\A\ufeff?|[\r\n])%")
JOINERS = "\u200c\u200d"  # zero-width, but some scripts are misspelt without them


@dataclass
class Node:
    """`value` is text, a list of Nodes, or a dict of text -> Node; `line` counts from 1.

    `key_line` is where the key of this value stands, if it has one: a list begins below its key.
    """

    value: object
    line: int
    key_line: int | None = None


class WrongText(Exception):
    """The text cannot be read: `line` (or None), `found` and `advice` are parts of a sentence."""

    def __init__(self, line, found, advice):
        super().__init__(found)
        self.line, self.found, self.advice = line, found, advice


def hidden(text):
    """The first character of `text` that does not show on a screen, or None. A line break shows."""
    return next((one for one in text if one != "\n" and one not in JOINERS and _hides(one)), None)


def code_point(character):
    """The name of a character that cannot be shown: U+202E."""
    return f"U+{ord(character):04X}"


def shown(text, most=60):
    """`text` short enough for a sentence, a ? for each character that would not show."""
    visible = "".join("?" if one == "\n" or hidden(one) else one for one in text[:most])
    return visible + ("…" if len(text) > most else "")


def _hides(character):
    return unicodedata.category(character) in ("Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp")


def read_text(text):
    """The root Node of a YAML `text`. Raises WrongText."""
    if len(text.encode("utf-8", "surrogatepass")) > LARGEST:
        raise WrongText(None, f"the file is larger than {LARGEST // 1024} kB.", "a shorter card, or split it in two")
    check_characters(text)
    reader = _Reader(text)
    try:
        return reader.read()
    except YAMLError as error:
        mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
        reason = getattr(error, "problem", None) or "it cannot be read"
        raise WrongText(mark and mark.line + 1, f"this is not well-formed YAML: {reason}.",
                        "`key: text` with spaces, never tabs, before it; quote a text that holds \": \" or \"#\""
                        ) from None
    except (ValueError, OverflowError):
        # ruamel turns an escape such as "\\UFFFFFFFF" into a character without a look at its size.
        raise WrongText(reader.line, "an escape names a character that does not exist.",
                        "the character itself") from None


def check_characters(text):
    """Refuse what an editor would not show: such a text would not say what its author reads. Raises WrongText."""
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    found = hidden(text)
    if found is None:
        return
    line = text[: text.index(found)].count("\n") + 1
    if found == "\t":
        raise WrongText(line, "there is a tab.", "spaces instead")
    raise WrongText(line, f"it holds {code_point(found)}, which does not show.", "the text without that character")


class _Reader:
    def __init__(self, text):
        directive = DIRECTIVE.search(text)
        if directive:
            line = len(text[: directive.end()].splitlines())
            raise WrongText(line, "there is a % directive.", "the card without it")
        self.events = YAML(typ="safe", pure=True).parse(text)
        self.nodes = 0
        self.line = 1

    def read(self):
        root = None
        for event in self.events:
            if isinstance(event, DocumentStartEvent):
                self.check_document(event, root)
            elif isinstance(event, MappingStartEvent | SequenceStartEvent | ScalarEvent | AliasEvent):
                root = self.node(event, 1)
        if root is None:
            raise WrongText(None, "the file is empty.", "a card; copy one that works and change it")
        return root

    def check_document(self, event, root):
        if root is not None:
            raise WrongText(event.start_mark.line + 1, "a second document begins.", "one card a file")

    def node(self, event, depth):
        line = self.line = event.start_mark.line + 1
        self.nodes += 1
        if self.nodes > MOST_NODES:
            raise WrongText(line, f"there are more than {MOST_NODES} values.", "a shorter card, or split it in two")
        if depth > DEEPEST:
            raise WrongText(line, f"it is nested deeper than {DEEPEST} levels.", "it flatter")
        self.check_plain(event, line)
        if isinstance(event, ScalarEvent):
            return Node(event.value, line)
        if isinstance(event, SequenceStartEvent):
            return Node(self.sequence(depth), line)
        return Node(self.mapping(depth), line)

    def check_plain(self, event, line):
        if isinstance(event, AliasEvent):
            raise WrongText(line, f"`*{event.anchor}` refers to another place.", "the text itself, again")
        if event.anchor:
            raise WrongText(line, f"`&{event.anchor}` names this place for use elsewhere.", "the text itself")
        if event.tag:
            raise WrongText(line, f"there is a tag, {shown(event.tag)}.", "the value without it: every value is text")

    def sequence(self, depth):
        members = []
        for event in self.events:
            if isinstance(event, SequenceEndEvent):
                break
            members.append(self.node(event, depth + 1))
        return members

    def mapping(self, depth):
        members = {}
        for event in self.events:
            if isinstance(event, MappingEndEvent):
                break
            key = self.node(event, depth + 1)
            if not isinstance(key.value, str):
                raise WrongText(key.line, "a key is not text.", "`key: value`, the key a single word")
            if key.value in members:
                raise WrongText(key.line, f"the key \"{shown(key.value)}\" stands twice.", "it once")
            members[key.value] = self.node(next(self.events), depth + 1)
            members[key.value].key_line = key.line
        return members
