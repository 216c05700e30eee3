"""The strict reading of a card template's YAML: lists, mappings and text, each with its line, and nothing else.

No anchors, aliases, tags, merge keys, directives, second documents or doubled keys; a scalar stays the text that
stands there (`no`, `012`, `1:30` and `null` are text). Server only: the phone gets finished JSON.
"""

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


@dataclass
class Node:
    """`value` is text, a list of Nodes, or a dict of text -> Node; `line` counts from 1."""

    value: object
    line: int


class WrongText(Exception):
    """The text cannot be read: `line` (or None), `found` and `advice` are parts of a sentence."""

    def __init__(self, line, found, advice):
        super().__init__(found)
        self.line, self.found, self.advice = line, found, advice


def read_text(text):
    """The root Node of a YAML `text`. Raises WrongText."""
    if len(text.encode("utf-8", "surrogatepass")) > LARGEST:
        raise WrongText(None, f"the file is larger than {LARGEST // 1024} kB.", "a shorter card, or split it in two")
    try:
        return _Reader(text).read()
    except YAMLError as error:
        mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
        reason = getattr(error, "problem", None) or "it cannot be read"
        raise WrongText(mark and mark.line + 1, f"this is not well-formed YAML: {reason}.",
                        "`key: text` with spaces, never tabs, before it; quote a text that holds \": \" or \"#\""
                        ) from None
    except (ValueError, UnicodeError):
        raise WrongText(None, "it holds a character that no text may hold.", "plain text in UTF-8") from None


class _Reader:
    def __init__(self, text):
        if "\t" in text:
            line = text[: text.index("\t")].count("\n") + 1
            raise WrongText(line, "there is a tab.", "spaces instead")
        self.events = YAML(typ="safe", pure=True).parse(text)
        self.nodes = 0

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
        line = event.start_mark.line + 1
        if root is not None:
            raise WrongText(line, "a second document begins.", "one card a file")
        if event.version or event.tags:
            raise WrongText(line, "there is a % directive.", "the card without it")

    def node(self, event, depth):
        line = event.start_mark.line + 1
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
            raise WrongText(line, f"there is a tag, {event.tag}.", "the value without it: every value is text")

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
                raise WrongText(key.line, f"the key \"{key.value}\" stands twice.", "it once")
            members[key.value] = self.node(next(self.events), depth + 1)
        return members
