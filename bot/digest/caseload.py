"""The therapist's week as messages: who needs them first, and under each name what was written, every page for one phone screen.

Markup is <b> alone; every value is escaped. Nothing that a carer wrote is ever cut or left behind a button, and nothing
is told twice.
"""

from __future__ import annotations

import html
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from bot.digest.lines import concern_lines, question_lines
from bot.digest.paging import PAGE_UNITS, packed, units
from bot.digest.ranking import Ranked, Reason
from bot.digest.wording import NameOf, wording_for
from bot.phrases import Words

MOST_REASONS = 3
FEW_FAMILIES = 8
"""So many families have a button each; of more only those that stand on a line of their own."""
IN_WORDS = frozenset({"act_now", "same_day", "tell_therapist", "questions"})
"""Reasons that the carers' own words tell, which stand below."""


@dataclass(frozen=True, slots=True)
class CaseloadPage:
    """One message. families: the ids of those on it that have a button, in their order."""

    text: str
    families: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Block:
    """What is not parted where it fits a page: lines of HTML, and whose button stands below them."""

    lines: tuple[str, ...]
    families: tuple[str, ...] = ()


def caseload_pages(ranking: Sequence[Ranked], words: Words, name_of: NameOf) -> tuple[CaseloadPage, ...]:
    """Return the digest of a caseload, each page at most 1200 units: who needs the therapist first, with every concern and
    question in the carers' own words under the family's name. Every family is named."""
    if not ranking:
        return (CaseloadPage(_escaped(words.plain("digest.no_families"))),)
    few = len(ranking) <= FEW_FAMILIES
    names = shown_names(ranking)
    pressing = [one for one in ranking if one.reasons]
    calm = [one for one in ranking if not one.reasons]
    blocks = _pressing_blocks(pressing, names, words, name_of, few=few)
    if calm:
        listed = ", ".join(names[one.family] for one in calm)
        lines = ("", f"<b>{_escaped(words.plain('digest.calm'))}</b>", _escaped(listed))
        blocks.append(_Block(lines, _ids(calm) if few else ()))
    head = _head(ranking, words, name_of, pressing=bool(pressing))
    first = _Block((*head, *blocks[0].lines), blocks[0].families)
    return tuple(_paged([first, *blocks[1:]]))


def caseload_plain(ranking: Sequence[Ranked], words: Words, name_of: NameOf) -> str:
    """Return the ranking as plain text, with every reason."""
    lines = [words.plain("digest.title")]
    for place, one in enumerate(ranking, 1):
        wording = wording_for(one.digest, words, name_of)
        reasons = "; ".join(wording.reason(r) for r in one.reasons) or words.plain("digest.calm")
        lines.append(f"{place}. {one.digest.nickname} ({one.family}): {reasons}")
    return "\n".join(lines)


def shown_names(ranking: Iterable[Ranked]) -> dict[str, str]:
    """Return the name to show for each family id: the nickname, with the id where two share one."""
    ranking = list(ranking)
    counts = Counter(one.digest.nickname for one in ranking)
    return {
        one.family: one.digest.nickname
        if counts[one.digest.nickname] == 1
        else f"{one.digest.nickname} ({one.family})"
        for one in ranking
    }


def _head(ranking: Sequence[Ranked], words: Words, name_of: NameOf, *, pressing: bool) -> list[str]:
    first = ranking[0].digest
    period = wording_for(first, words, name_of).period(first)
    families = words.plain("digest.families", n=len(ranking))
    lines = [f"<b>{_escaped(words.plain('digest.title'))}</b>", _escaped(f"{period} · {families}")]
    if pressing:
        lines += ["", f"<b>{_escaped(words.plain('digest.first'))}</b>"]
    return lines


def _pressing_blocks(
    pressing: Sequence[Ranked], names: dict[str, str], words: Words, name_of: NameOf, *, few: bool
) -> list[_Block]:
    """Return a block a family; neighbours of whom the very same is told share a line ("4-9. Bo, Ivo: …")."""

    def told(one: Ranked) -> tuple[str, tuple[str, ...]]:
        wording = wording_for(one.digest, words, name_of)
        said = (*concern_lines(one.digest, wording), *question_lines(one.digest, wording))
        return "; ".join(wording.reason(each) for each in _reasons(one.reasons, said)), said

    blocks: list[_Block] = []
    place = 1
    for (why, said), group in groupby(pressing, key=told):
        alike = list(group)
        last = place + len(alike) - 1
        if len(alike) == 1:
            front, named = f"{place}.", f"<b>{_escaped(names[alike[0].family])}</b>"
        else:
            front, named = f"{place}-{last}.", _escaped(", ".join(names[one.family] for one in alike))
        line = f"{front} {named}" + (f": {_escaped(why)}" if why else "")
        buttons = _ids(alike) if few or len(alike) == 1 else ()
        blocks.append(_Block((line, *map(_escaped, said)), buttons))
        place = last + 1
    return blocks


def _reasons(reasons: Sequence[Reason], said: Sequence[str]) -> Sequence[Reason]:
    """Return the weightiest reasons, without those that the words below tell."""
    return [each for each in reasons if not (said and each.kind in IN_WORDS)][:MOST_REASONS]


def _paged(blocks: Iterable[_Block]) -> list[CaseloadPage]:
    """Return blocks as pages; one that is longer than a page is broken, and its button stands under its end."""
    pages: list[CaseloadPage] = []
    lines: list[str] = []
    families: list[str] = []
    for block in blocks:
        if lines and units("\n".join([*lines, *block.lines])) > PAGE_UNITS:
            *full, rest = packed(lines)
            pages += [CaseloadPage(text) for text in full]
            pages.append(CaseloadPage(rest, tuple(families)))
            lines, families = [], []
        lines += block.lines
        families += block.families
    *full, rest = packed(lines)
    return [*pages, *(CaseloadPage(text) for text in full), CaseloadPage(rest, tuple(families))]


def _ids(families: Iterable[Ranked]) -> tuple[str, ...]:
    return tuple(one.family for one in families)


def _escaped(text: str) -> str:
    return html.escape(text, quote=False)
