"""Formatted text: HTML read into plain text and entities, and entities checked.

Offsets and lengths of entities count UTF-16 code units (Bot API, MessageEntity). The HTML rules are those of the Bot API,
"HTML style"; the words of refusals are those of the open-source library under its server (tdlib/td,
MessageEntity.cpp), from memory.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from typing import Any

from demo.messaging.errors import bad_request

Entity = dict[str, Any]

KIND_OF_TAG = {
    "b": "bold",
    "strong": "bold",
    "i": "italic",
    "em": "italic",
    "u": "underline",
    "ins": "underline",
    "s": "strikethrough",
    "strike": "strikethrough",
    "del": "strikethrough",
    "code": "code",
    "pre": "pre",
    "a": "text_link",
    "blockquote": "blockquote",
    "tg-spoiler": "spoiler",
    "span": "spoiler",
    "tg-emoji": "custom_emoji",
}
KINDS = {*KIND_OF_TAG.values(), "expandable_blockquote"}
# Kinds that the server finds by itself and never takes from a caller.
FOUND_KINDS = {"mention", "hashtag", "cashtag", "bot_command", "url", "email", "phone_number"}
NAMED_CHARACTERS = {"lt": "<", "gt": ">", "amp": "&", "quot": '"'}

# A link to anything else, a person's account among it, becomes no entity.
LINK = re.compile(r"(https?://|mailto:|tel:)\S")

_CHARACTER = re.compile(r"&(?:#([0-9]{1,7})|#[xX]([0-9a-fA-F]{1,6})|(lt|gt|amp|quot));?")
_TAG = re.compile(r"<(/?)([^\s>]*)((?:[^>\"']|\"[^\"]*\"|'[^']*')*)>")
_ATTRIBUTE = re.compile(r"\s*([^\s=>/]+)(?:\s*=\s*(?:\"([^\"]*)\"|'([^']*)'|([^\s>]+)))?")
_FOUND = re.compile(
    r"(?P<bot_command>(?<![\w/])/[A-Za-z0-9_]{1,64}(?:@[A-Za-z0-9_]{3,32})?(?![\w/]))"
    r"|(?P<email>\b[\w.+-]+@[\w-]+(?:\.[\w-]+)+\b)"
    r"|(?P<mention>(?<!\w)@[A-Za-z0-9_]{4,32}\b)"
    r"|(?P<hashtag>(?<!\w)#\w*[^\W\d_]\w*)"
    r"|(?P<url>\bhttps?://[^\s<>\"]+[^\s<>\".,;:!?)])"
)


def utf16_length(text: str) -> int:
    """Return the number of UTF-16 code units."""
    return len(text) + sum(character > "\uffff" for character in text)


def parse_html(source: str) -> tuple[str, list[Entity]]:
    """Return plain text and its entities, in order of their beginning, an outer one before an inner.

    Raises:
        ApiError: 400 "can't parse entities: …", the offset in bytes of UTF-8.
    """
    if "<" not in source and "&" not in source:
        return source, []
    return _HtmlReader(source).read()


@dataclass(slots=True)
class _Open:
    """A tag not yet closed. offset: of its text in UTF-16 units; begin: in characters; turn: its place among all tags."""

    tag: str
    argument: dict[str, str]
    offset: int
    begin: int
    turn: int


class _HtmlReader:
    def __init__(self, source: str) -> None:
        self.source = source
        self.plain: list[str] = []
        self.offset = 0
        self.open: list[_Open] = []
        self.entities: list[tuple[int, Entity]] = []
        self.turns = 0

    def read(self) -> tuple[str, list[Entity]]:
        position = 0
        while position < len(self.source):
            if self.source[position] == "<":
                position = self._tag(position)
            elif (found := _CHARACTER.match(self.source, position)) and (character := _decoded(found)):
                self._put(character)
                position = found.end()
            else:
                self._put(self.source[position])
                position += 1
        if self.open:
            raise _unparsed(f'Can\'t find end tag corresponding to start tag "{self.open[-1].tag}"')
        self.entities.sort(key=lambda found: (found[1]["offset"], -found[1]["length"], found[0]))
        return "".join(self.plain), [entity for _, entity in self.entities]

    def _put(self, character: str) -> None:
        self.plain.append(character)
        self.offset += utf16_length(character)

    def _tag(self, position: int) -> int:
        closing = self.source.startswith("</", position)
        found = _TAG.match(self.source, position)
        if found is None:
            raise self._at(position, "Unclosed end tag" if closing else "Unclosed start tag")
        if closing:
            self._close(position, found[2])
        else:
            self._begin(position, found[2].lower(), found[3])
        return found.end()

    def _begin(self, position: int, tag: str, rest: str) -> None:
        if tag not in KIND_OF_TAG:
            raise self._at(position, f'Unsupported start tag "{tag}"')
        attributes = {
            match[1].lower(): html.unescape(match[2] or match[3] or match[4] or "")
            for match in _ATTRIBUTE.finditer(rest)
        }
        if tag == "span" and attributes.get("class") != "tg-spoiler":
            raise self._at(position, 'Tag "span" must have class "tg-spoiler"')
        self.turns += 1
        self.open.append(_Open(tag, attributes, self.offset, len(self.plain), self.turns))

    def _close(self, position: int, tag: str) -> None:
        if not self.open:
            raise self._at(position, "Unexpected end tag")
        opened = self.open.pop()
        if tag and tag.lower() != opened.tag:
            raise self._at(position, f'Unmatched end tag, expected "</{opened.tag}>", found "</{tag}>"')
        length = self.offset - opened.offset
        if length:
            entity = self._entity(opened, length)
            if entity is not None:
                self.entities.append((opened.turn, entity))

    def _entity(self, opened: _Open, length: int) -> Entity | None:
        kind = KIND_OF_TAG[opened.tag]
        entity: Entity = {"type": kind, "offset": opened.offset, "length": length}
        if kind == "text_link":
            url = opened.argument.get("href") or "".join(self.plain[opened.begin :])
            if not LINK.match(url):
                return None
            entity["url"] = url
        elif kind == "blockquote" and "expandable" in opened.argument:
            entity["type"] = "expandable_blockquote"
        elif kind == "custom_emoji":
            entity["custom_emoji_id"] = opened.argument.get("emoji-id", "")
        elif kind == "code" and self.open and self.open[-1].tag == "pre":
            language = opened.argument.get("class", "").removeprefix("language-")
            self.open[-1].argument["language"] = language
            return None
        elif kind == "pre" and opened.argument.get("language"):
            entity["language"] = opened.argument["language"]
        return entity

    def _at(self, position: int, words: str) -> Exception:
        offset = len(self.source[:position].encode())
        head, comma, rest = words.partition(", ")
        return _unparsed(f"{head} at byte offset {offset}{comma}{rest}")


def _unparsed(words: str) -> Exception:
    return bad_request(f"can't parse entities: {words}")


def _decoded(found: re.Match[str]) -> str:
    if found[3]:
        return NAMED_CHARACTERS[found[3]]
    number = int(found[1]) if found[1] else int(found[2], 16)
    is_character = 0 < number <= 0x10FFFF and not 0xD800 <= number <= 0xDFFF
    return chr(number) if is_character else ""


def checked_entities(text: str, given: Any) -> list[Entity]:
    """Return the entities that a caller gave for `text`, those without length left out.

    Raises:
        ApiError: 400, an entity of another shape, of an unknown kind, or not lying on whole characters of the text.
    """
    if not isinstance(given, list):
        raise bad_request("can't parse entities: expected an Array of MessageEntity")
    edges = {0}
    offset = 0
    for character in text:
        offset += utf16_length(character)
        edges.add(offset)
    kept = []
    for entity in given:
        kind, start, length = _shape(entity)
        if kind in FOUND_KINDS or length == 0:
            continue
        if kind not in KINDS:
            raise bad_request("can't parse entities: unsupported MessageEntity type specified")
        if kind == "text_link" and not LINK.match(str(entity.get("url", ""))):
            continue
        if start not in edges:
            raise bad_request("entity begins in a middle of a UTF-16 symbol at byte offset " + str(start))
        if start + length not in edges:
            raise bad_request("entity ends in a middle of a UTF-16 symbol or beyond the text")
        kept.append(dict(entity))
    return sorted(kept, key=lambda entity: (entity["offset"], -entity["length"]))


def _shape(entity: Any) -> tuple[str, int, int]:
    if not isinstance(entity, dict):
        raise bad_request("can't parse entities: expected an Object")
    kind, start, length = entity.get("type"), entity.get("offset"), entity.get("length")
    if not (isinstance(kind, str) and isinstance(start, int) and isinstance(length, int)):
        raise bad_request("can't parse entities: type, offset and length must be given")
    if start < 0 or length < 0:
        raise bad_request("can't parse entities: offset and length must not be negative")
    return kind, start, length


def trimmed(text: str, entities: list[Entity]) -> tuple[str, list[Entity]]:
    """Return the text without white space at its ends, and the entities moved and cut to fit."""
    if not text or not (text[0].isspace() or text[-1].isspace()):
        return text, entities
    front = utf16_length(text) - utf16_length(text.lstrip())
    kept = text.strip()
    end = utf16_length(kept)
    moved = []
    for entity in entities:
        start = max(0, entity["offset"] - front)
        stop = min(end, entity["offset"] + entity["length"] - front)
        if stop > start:
            moved.append({**entity, "offset": start, "length": stop - start})
    return kept, moved


def found_entities(text: str, given: list[Entity]) -> list[Entity]:
    """Return the given entities and the commands, mentions, tags and links that a server finds by itself.

    A command must be found: clients know it by its entity alone.
    """
    if not any(mark in text for mark in "/@#"):
        return given
    closed = {"code", "pre", "text_link", "custom_emoji"}
    taken = [(e["offset"], e["offset"] + e["length"]) for e in given if e["type"] in closed]
    found = list(given)
    for match in _FOUND.finditer(text):
        offset = utf16_length(text[: match.start()])
        length = utf16_length(match[0])
        if not any(start < offset + length and offset < stop for start, stop in taken):
            found.append({"type": str(match.lastgroup), "offset": offset, "length": length})
    return sorted(found, key=lambda entity: (entity["offset"], -entity["length"]))
