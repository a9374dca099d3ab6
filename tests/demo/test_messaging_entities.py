"""HTML read into text and entities. Offsets count UTF-16 units (Bot API, MessageEntity)."""

from __future__ import annotations

import html
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from demo.messaging.entities import checked_entities, found_entities, parse_html, trimmed, utf16_length
from demo.messaging.errors import ApiError
from demo.messaging.views import as_html


def entity(kind: str, offset: int, length: int, **more: object) -> dict[str, object]:
    return {"type": kind, "offset": offset, "length": length, **more}


@pytest.mark.parametrize(
    ("source", "text", "entities"),
    [
        ("plain", "plain", []),
        ("<b>a</b><strong>b</strong>", "ab", [entity("bold", 0, 1), entity("bold", 1, 1)]),
        ("<i>a</i><em>b</em>", "ab", [entity("italic", 0, 1), entity("italic", 1, 1)]),
        ("<u>a</u><ins>b</ins>", "ab", [entity("underline", 0, 1), entity("underline", 1, 1)]),
        (
            "<s>a</s><strike>b</strike><del>c</del>",
            "abc",
            [entity("strikethrough", n, 1) for n in range(3)],
        ),
        ("<B>a</b>", "a", [entity("bold", 0, 1)]),
        ("😀<b>é</b>", "😀é", [entity("bold", 2, 1)]),
        ("<b>a<i>b</i></b>", "ab", [entity("bold", 0, 2), entity("italic", 1, 1)]),
        ("<b><i>x</i></b>", "x", [entity("bold", 0, 1), entity("italic", 0, 1)]),
        ("<b>x</>", "x", [entity("bold", 0, 1)]),
        ("<b></b>x", "x", []),
        ("<tg-spoiler>x</tg-spoiler>", "x", [entity("spoiler", 0, 1)]),
        ('<span class="tg-spoiler">x</span>', "x", [entity("spoiler", 0, 1)]),
        ("<code>x &lt; y</code>", "x < y", [entity("code", 0, 5)]),
        ("<pre>x</pre>", "x", [entity("pre", 0, 1)]),
        (
            '<pre><code class="language-python">x</code></pre>',
            "x",
            [entity("pre", 0, 1, language="python")],
        ),
        ("<blockquote>q</blockquote>", "q", [entity("blockquote", 0, 1)]),
        ("<blockquote expandable>q</blockquote>", "q", [entity("expandable_blockquote", 0, 1)]),
        (
            '<a href="https://example.org/?a=1&amp;b=2">x</a>',
            "x",
            [entity("text_link", 0, 1, url="https://example.org/?a=1&b=2")],
        ),
        ('<a href="nowhere">x</a>', "x", []),
        ('<a href="javascript:alert(1)">x</a>', "x", []),
        (
            "😀<a>https://example.org/😀</a>",
            "😀https://example.org/😀",
            [entity("text_link", 2, 22, url="https://example.org/😀")],
        ),
        ("&lt;&gt;&amp;&quot;&#65;&#x1F600;", '<>&"A😀', []),
        ("&nbsp; &unknown; & &#0;", "&nbsp; &unknown; & &#0;", []),
    ],
)
def test_html_becomes_text_and_entities(source: str, text: str, entities: list[object]) -> None:
    assert parse_html(source) == (text, entities)


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("a < b", "Unclosed start tag at byte offset 2"),
        ("é<b>x", 'Can\'t find end tag corresponding to start tag "b"'),
        ("é<p>x</p>", 'Unsupported start tag "p" at byte offset 2'),
        ("<b>x</i>", 'Unmatched end tag at byte offset 4, expected "</b>", found "</i>"'),
        ("x</b>", "Unexpected end tag at byte offset 1"),
        ("<b>x</b", "Unclosed end tag at byte offset 4"),
        ("<span>x</span>", 'Tag "span" must have class "tg-spoiler" at byte offset 0'),
        ("<br>", 'Unsupported start tag "br" at byte offset 0'),
        ("<3", "Unclosed start tag at byte offset 0"),
        ("<b><i>x</b></i>", 'Unmatched end tag at byte offset 7, expected "</i>", found "</b>"'),
    ],
)
def test_broken_html_is_refused_with_what_and_where(source: str, words: str) -> None:
    with pytest.raises(ApiError) as refused:
        parse_html(source)

    assert refused.value.error_code == 400
    assert refused.value.description == f"Bad Request: can't parse entities: {words}"


@settings(max_examples=200, deadline=None)
@given(st.text())
def test_escaped_text_comes_back_as_it_was(text: str) -> None:
    assert parse_html(html.escape(text, quote=False)) == (text, [])


@settings(max_examples=200, deadline=None)
@given(st.text(alphabet="<>/&;\"' =abi😀é#x1"))
def test_any_text_is_read_or_refused_as_a_bad_request(source: str) -> None:
    refusal, text, entities = read_or_refusal(source)

    assert refusal == "" or refusal.startswith("Bad Request: can't parse entities: ")
    assert checked_entities(text, entities) == entities


def read_or_refusal(source: str) -> tuple[str, str, list[dict[str, Any]]]:
    try:
        return "", *parse_html(source)
    except ApiError as refused:
        return refused.description, "", []


def marked_up(parts: list[tuple[str, str]]) -> str:
    return "".join(
        f"<{tag}>{html.escape(words)}</{tag}>" if tag else html.escape(words) for tag, words in parts
    )


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(["", "b", "i", "u", "s", "code"]), st.text("ab <&😀é\n", min_size=1)),
        max_size=6,
    )
)
def test_what_is_shown_reads_back_as_the_same(parts: list[tuple[str, str]]) -> None:
    text, entities = parse_html(marked_up(parts))

    assert text == "".join(words for _, words in parts)
    assert parse_html(as_html(text, entities)) == (text, entities)


def test_white_space_at_the_ends_is_cut_and_entities_with_it() -> None:
    text, entities = parse_html(" \n<b> a </b>😀<i> </i> ")

    assert trimmed(text, entities) == ("a 😀", [entity("bold", 0, 2)])


def test_length_counts_a_character_beyond_the_first_plane_twice() -> None:
    assert utf16_length("a😀é") == 4


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("/start abc", [("bot_command", "/start")]),
        ("/start@underwing_local_bot x", [("bot_command", "/start@underwing_local_bot")]),
        ("do /week now", [("bot_command", "/week")]),
        ("3/4 and/or", []),
        ("ask @sam_home or a@example.org", [("mention", "@sam_home"), ("email", "a@example.org")]),
        ("see https://example.org/x?y=1.", [("url", "https://example.org/x?y=1")]),
        ("#tummy 😀 /today", [("hashtag", "#tummy"), ("bot_command", "/today")]),
    ],
)
def test_the_server_finds_commands_mentions_and_links_by_itself(
    text: str, found: list[tuple[str, str]]
) -> None:
    units = text.encode("utf-16-le")
    read = [
        (e["type"], units[2 * e["offset"] : 2 * (e["offset"] + e["length"])].decode("utf-16-le"))
        for e in found_entities(text, [])
    ]

    assert read == found


def test_nothing_is_found_inside_code() -> None:
    text, entities = parse_html("<code>/start</code>")

    assert found_entities(text, entities) == entities


@pytest.mark.parametrize(
    "given_entity",
    [
        "bold",
        {"type": "bold"},
        {"type": "wobbly", "offset": 0, "length": 1},
        {"type": "bold", "offset": -1, "length": 1},
        {"type": "bold", "offset": 0, "length": 99},
    ],
)
def test_an_entity_of_another_shape_is_refused(given_entity: object) -> None:
    with pytest.raises(ApiError):
        checked_entities("abc", [given_entity])
