"""The reading of HTML against two libraries that write it.

Each library turns text and entities into the HTML of the bot API; reading that HTML must give the text and entities back.
Sources: python-telegram-bot (Message.text_html, https://docs.python-telegram-bot.org) and aiogram
(aiogram.utils.text_decorations, https://docs.aiogram.dev). The listed examples are the "HTML style" section of
https://core.telegram.org/bots/api, from memory.
"""

from __future__ import annotations

import datetime
from typing import Any

from aiogram.types import MessageEntity as AiogramEntity
from aiogram.utils.text_decorations import html_decoration
from hypothesis import given, settings
from hypothesis import strategies as st
from telegram import Chat, Message, MessageEntity

from demo.messaging.entities import parse_html, utf16_length

KINDS = ["bold", "italic", "underline", "strikethrough", "spoiler"]

Piece = tuple[str, list[str]]
pieces = st.lists(
    st.tuples(
        st.text("ab <>&\"'😀éñ", min_size=1, max_size=8),
        st.lists(st.sampled_from(KINDS), unique=True, max_size=3),
    ),
    min_size=1,
    max_size=5,
)


def written(parts: list[Piece]) -> tuple[str, list[dict[str, Any]]]:
    """Return the text of the parts and nested entities over each, the outer first."""
    text, entities = "", []
    for words, kinds in parts:
        offset, length = utf16_length(text), utf16_length(words)
        entities += [{"type": kind, "offset": offset, "length": length} for kind in kinds]
        text += words
    return text, entities


def in_any_nesting(entities: list[dict[str, Any]]) -> set[tuple[Any, ...]]:
    return {(entity["offset"], entity["length"], entity["type"]) for entity in entities}


@settings(max_examples=100, deadline=None)
@given(pieces)
def test_the_html_of_python_telegram_bot_reads_back(parts: list[Piece]) -> None:
    text, entities = written(parts)
    now = datetime.datetime(2026, 3, 4, tzinfo=datetime.UTC)
    given_entities = [MessageEntity(**entity) for entity in entities]
    message = Message(1, now, Chat(1, "private"), text=text, entities=given_entities)
    read_text, read = parse_html(message.text_html)

    assert read_text == text
    assert in_any_nesting(read) == in_any_nesting(entities)


@settings(max_examples=100, deadline=None)
@given(pieces)
def test_the_html_of_aiogram_reads_back(parts: list[Piece]) -> None:
    text, entities = written(parts)
    source = html_decoration.unparse(text, [AiogramEntity(**entity) for entity in entities])
    read_text, read = parse_html(source)

    assert read_text == text
    assert in_any_nesting(read) == in_any_nesting(entities)


def test_the_examples_of_the_published_page_are_read() -> None:
    source = (
        "<b>bold</b>, <strong>bold</strong>\n"
        "<i>italic</i>, <em>italic</em>\n"
        "<u>underline</u>, <ins>underline</ins>\n"
        "<s>strikethrough</s>, <strike>strikethrough</strike>, <del>strikethrough</del>\n"
        '<span class="tg-spoiler">spoiler</span>, <tg-spoiler>spoiler</tg-spoiler>\n'
        '<b>bold <i>italic bold <s>italic bold strikethrough <span class="tg-spoiler">italic bold strikethrough '
        "spoiler</span></s> <u>underline italic bold</u></i> bold</b>\n"
        '<a href="http://www.example.com/">inline URL</a>\n'
        "<code>inline fixed-width code</code>\n"
        "<pre>pre-formatted fixed-width code block</pre>\n"
        '<pre><code class="language-python">pre-formatted block in Python</code></pre>\n'
        "<blockquote>Block quotation started\nBlock quotation continued</blockquote>\n"
        "<blockquote expandable>Expandable</blockquote>"
    )
    text, entities = parse_html(source)
    units = text.encode("utf-16-le")
    covered = {
        (e["type"], units[2 * e["offset"] : 2 * (e["offset"] + e["length"])].decode("utf-16-le"))
        for e in entities
    }

    assert len(entities) == 22
    assert ("underline", "underline italic bold") in covered
    assert ("strikethrough", "italic bold strikethrough italic bold strikethrough spoiler") in covered
    assert ("pre", "pre-formatted block in Python") in covered
    assert ("blockquote", "Block quotation started\nBlock quotation continued") in covered
