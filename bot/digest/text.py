"""A family's page of the digest as messages, and as plain text for a terminal.

Markup is <b> alone; every value is escaped. Nothing that a carer wrote is ever cut: what does not fit the page
follows in further messages.
"""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import replace

from bot.digest.clinic_lines import clinic_sections
from bot.digest.figures import FamilyDigest
from bot.digest.lines import (
    Section,
    figure_sections,
    rendered,
    suggestion_section,
    word_sections,
)
from bot.digest.paging import PAGE_UNITS, packed, units
from bot.digest.wording import NameOf, Wording, wording_for
from bot.phrases import Words

SUGGESTIONS_ON_PAGE = 3


def family_text(digest: FamilyDigest, words: Words, name_of: NameOf) -> tuple[str, ...]:
    """Return the messages (HTML, each at most 1200 units) that tell of one family.

    The first is the page. Concerns, questions, unread texts, plan changes and notes stand on it where they fit one
    phone screen, or else follow whole in the next messages.
    """
    wording = wording_for(digest, words, name_of)
    figures = _head(digest, wording) + _lines(
        [*figure_sections(digest, wording), *clinic_sections(digest, wording)]
    )
    advice = suggestion_section(digest, wording)
    said = word_sections(digest, wording)
    whole = [*figures, *_lines(said), *_lines(advice)]
    if units("\n".join(whole)) <= PAGE_UNITS:
        return tuple(packed(whole))
    first, rest = _parted(advice)
    page = [*figures, *_lines(first)]
    if rest:
        page.append(_escaped(words.plain("digest.suggestions_more", n=len(rest[0].lines))))
    if said:
        count = sum(len(section.lines) for section in said)
        page.append(_escaped(words.plain("digest.texts_follow", n=count)))
    continued = f"<b>{_escaped(digest.nickname)}</b>"
    return (
        (*packed(page), *packed([continued, *_lines(said), *_lines(rest)]))
        if said or rest
        else tuple(packed(page))
    )


def _parted(advice: Sequence[Section]) -> tuple[list[Section], list[Section]]:
    """Return the suggestions that stand on the page, and those that follow it."""
    first = [replace(section, lines=section.lines[:SUGGESTIONS_ON_PAGE]) for section in advice]
    rest = [replace(section, lines=section.lines[SUGGESTIONS_ON_PAGE:]) for section in advice]
    return first, [section for section in rest if section.lines]


def family_plain(digest: FamilyDigest, words: Words, name_of: NameOf) -> str:
    """Return the whole digest of a family as plain text."""
    wording = wording_for(digest, words, name_of)
    sections = [
        *figure_sections(digest, wording),
        *clinic_sections(digest, wording),
        *word_sections(digest, wording),
        *suggestion_section(digest, wording),
    ]
    head = [
        f"{digest.nickname} ({digest.family})",
        wording.baby(digest),
        wording.period(digest),
        wording.days(digest),
    ]
    return "\n".join([*head, "", *rendered(sections, head=str, line=lambda text: f"  {text}".rstrip())])


def _head(digest: FamilyDigest, wording: Wording) -> list[str]:
    return [
        f"<b>{_escaped(digest.nickname)}</b>: {_escaped(wording.baby(digest))}",
        _escaped(wording.period(digest)),
        _escaped(wording.days(digest)),
        "",
    ]


def _lines(sections: Sequence[Section]) -> list[str]:
    return rendered(sections, head=lambda text: f"<b>{_escaped(text)}</b>", line=_escaped)


def _escaped(text: str) -> str:
    return html.escape(text, quote=False)
