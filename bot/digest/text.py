"""The digest as messages: the caseload's one message, a family's page, and plain text for a terminal.

Markup is <b> alone; every value is escaped. Nothing that a carer wrote is ever cut: what does not fit the page
follows in further messages.
"""

from __future__ import annotations

import html
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import groupby

from bot.digest.clinic_lines import clinic_sections
from bot.digest.figures import FamilyDigest
from bot.digest.lines import (
    Section,
    concern_lines,
    figure_sections,
    question_lines,
    rendered,
    suggestion_section,
    word_sections,
)
from bot.digest.ranking import Ranked
from bot.digest.wording import NameOf, Wording, wording_for
from bot.phrases import Words

MESSAGE_UNITS = 4096
"""The messaging service's limit of a message, in UTF-16 units; counted here with markup, so on the safe side."""

PAGE_UNITS = 1200
"""About what one phone screen holds at a usual letter size; the carers' own words stand on the page if they fit."""

SUGGESTIONS_ON_PAGE = 3

MOST_REASONS = 3


def caseload_text(ranking: Sequence[Ranked], words: Words, name_of: NameOf) -> str:
    """Return the therapist's one message (HTML, at most 4096 units): who needs them first, and why.

    Every family is named. Where the list is too long, reasons give way before names; where even the names are too
    many, the last line says how many more the document holds.
    """
    if not ranking:
        return _escaped(words.plain("digest.no_families"))
    for most in range(MOST_REASONS, -1, -1):
        text = "\n".join(_caseload_lines(ranking, words, name_of, most))
        if units(text) <= MESSAGE_UNITS:
            return text
    return _cut_by_lines(_caseload_lines(ranking, words, name_of, 0), words)


def caseload_messages(ranking: Sequence[Ranked], words: Words, name_of: NameOf) -> tuple[str, ...]:
    """Return the digest of a caseload (HTML, each at most 4096 units): who needs the therapist first, then every concern
    and question in the carers' own words, none left out and none behind a button.

    They stand in the one message where they fit it, and follow it otherwise.
    """
    first, said = caseload_text(ranking, words, name_of), _said_lines(ranking, words, name_of)
    if not said:
        return (first,)
    whole = "\n".join([first, "", *said])
    return (whole,) if units(whole) <= MESSAGE_UNITS else (first, *packed(said))


def _said_lines(ranking: Sequence[Ranked], words: Words, name_of: NameOf) -> list[str]:
    names = shown_names(ranking)
    lines: list[str] = []
    for one in ranking:
        wording = wording_for(one.digest, words, name_of)
        said = (*concern_lines(one.digest, wording), *question_lines(one.digest, wording))
        if said:
            lines += [f"<b>{_escaped(names[one.family])}</b>", *map(_escaped, said)]
    return [f"<b>{_escaped(words.plain('digest.said_head'))}</b>", *lines] if lines else []


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


def _caseload_lines(ranking: Sequence[Ranked], words: Words, name_of: NameOf, most: int) -> list[str]:
    """Return the message's lines with at most so many reasons a family."""
    names = shown_names(ranking)
    first = ranking[0]
    period = wording_for(first.digest, words, name_of).period(first.digest)
    pressing = [one for one in ranking if one.reasons]
    calm = [one for one in ranking if not one.reasons]
    families = words.plain("digest.families", n=len(ranking))
    lines = [f"<b>{_escaped(words.plain('digest.title'))}</b>", _escaped(f"{period} · {families}")]
    if pressing:
        lines += ["", f"<b>{_escaped(words.plain('digest.first'))}</b>"]
    lines += _pressing_lines(pressing, names, words, name_of, most)
    if calm:
        listed = ", ".join(names[one.family] for one in calm)
        lines += ["", f"<b>{_escaped(words.plain('digest.calm'))}</b>", _escaped(listed)]
    return lines


def _pressing_lines(
    pressing: Sequence[Ranked], names: dict[str, str], words: Words, name_of: NameOf, most: int
) -> list[str]:
    """Return a line a family; neighbours that share the very same reasons share a line ("4-9. Bo, Ivo, …")."""

    def reasons(one: Ranked) -> str:
        wording = wording_for(one.digest, words, name_of)
        return "; ".join(wording.reason(reason) for reason in one.reasons[:most])

    lines: list[str] = []
    place = 1
    for told, group in groupby(pressing, key=lambda one: reasons(one) or one.family):
        told = told if most else ""
        alike = [f"<b>{_escaped(names[one.family])}</b>" for one in group]
        last = place + len(alike) - 1
        number = f"{place}." if len(alike) == 1 else f"{place}-{last}."
        lines.append(f"{number} {', '.join(alike)}" + (f": {_escaped(told)}" if told else ""))
        place = last + 1
    return lines


def _cut_by_lines(lines: list[str], words: Words) -> str:
    """Return as many lines as fit, and how many more there are."""
    for kept in range(len(lines) - 1, 0, -1):
        rest = _escaped(words.plain("digest.and_more", n=len(lines) - kept))
        text = "\n".join([*lines[:kept], rest])
        if units(text) <= MESSAGE_UNITS:
            return text
    return _escaped(words.plain("digest.and_more", n=len(lines)))


def family_text(digest: FamilyDigest, words: Words, name_of: NameOf) -> tuple[str, ...]:
    """Return the messages (HTML, each at most 4096 units) that tell of one family.

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


def packed(lines: Iterable[str]) -> list[str]:
    """Return lines of HTML as messages of at most 4096 units each, no character lost.

    A line that is longer than a message is broken, at a space where there is one.
    """
    messages: list[str] = []
    current = ""
    for line in (piece for whole in lines for piece in _pieces(whole)):
        joined = f"{current}\n{line}" if current else line
        if current and units(joined) > MESSAGE_UNITS:
            messages.append(current)
            joined = line
        current = joined
    return [*messages, current] if current else messages


def _pieces(line: str) -> list[str]:
    """Break one line of HTML; entities and tags stay whole."""
    pieces = []
    while units(line) > MESSAGE_UNITS:
        end = _fitting(line)
        pieces.append(line[:end])
        line = line[end:]
    return [*pieces, line]


def _fitting(line: str) -> int:
    """Return how many characters of an escaped line fit a message, ending after a space where possible."""
    size = end = 0
    while size < MESSAGE_UNITS and end < len(line):
        size += units(line[end])
        end += 1
    end -= size > MESSAGE_UNITS
    space = line.rfind(" ", end // 2, end)
    if space > 0:
        return space + 1
    entity = line.rfind("&", max(0, end - 6), end)
    return entity if entity > 0 and ";" not in line[entity:end] else end


def units(text: str) -> int:
    """Return the length of a text in UTF-16 units, as the messaging service counts."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def _escaped(text: str) -> str:
    return html.escape(text, quote=False)
