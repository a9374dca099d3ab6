"""The digest and the visit note as PDF, set by typst from the templates beside this file.

Fonts are those that typst brings along, with matplotlib's DejaVu Sans for letters they lack; the machine's own are
never used, so a document looks the same everywhere. Every text goes in as data, so nothing that a carer wrote can
act as markup.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from babel.core import get_global

from bot.digest.activity_figures import ActivityFigures
from bot.digest.caseload import shown_names
from bot.digest.clinic_lines import clinic_sections, window_section
from bot.digest.figures import FamilyDigest
from bot.digest.glyphs import drawable, font_folder
from bot.digest.lines import (
    Section,
    done_of_asked,
    figure_sections,
    sides_told,
    suggestion_section,
    word_sections,
)
from bot.digest.ranking import Ranked
from bot.digest.wording import NameOf, Wording, wording_for
from bot.phrases import Words

if TYPE_CHECKING:
    import typst

Paper = Literal["a4", "us-letter"]

LETTER_TERRITORIES = frozenset(
    ["BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"]
)
"""Unicode Technical Standard 35, part 6, measurement system data: paperSize US-Letter; all others A4."""

EMPTY_CELL = "–"
MOST_NAMED_DAYS = 10
MOST_NAMED_WEEKS = 5


def paper_for(time_zone: str) -> Paper:
    """Return the paper of the place where an IANA zone lies."""
    zone = get_global("zone_aliases").get(time_zone, time_zone)
    return "us-letter" if get_global("zone_territories").get(zone) in LETTER_TERRITORIES else "a4"


def digest_pdf(
    ranking: Sequence[Ranked], words: Words, name_of: NameOf, *, as_of: datetime, paper: Paper = "a4"
) -> bytes:
    """Return the digest of a caseload as PDF: a cover with the ranking, then a page a family in its order.

    as_of: when it was made, shown in its own zone. A family whose texts are long runs on to a further page.
    """
    names = shown_names(ranking)
    say = words.plain
    data = _common(words, paper) | {
        "title": say("digest.document_title"),
        "subtitle": say("digest.document_as_of", at=_moment(as_of, words, name_of)),
        "told": say("digest.document_told"),
        "by_day": say("digest.document_by_day"),
        "heads": {
            "family": say("digest.document_family"),
            "why": say("digest.document_why"),
            "of_asked": say("digest.document_of_asked"),
            "word": say("digest.document_word"),
        },
        "key": {
            "left": say("digest.side_left"),
            "right": say("digest.side_right"),
            "unsided": say("digest.side_none"),
            "asked": say("digest.chart_asked"),
            "silent": say("digest.chart_silent"),
        },
        "ranking": [
            _ranking_row(place, one, names, wording_for(one.digest, words, name_of))
            for place, one in enumerate(ranking, 1)
        ],
        "families": [_family(one.digest, names, wording_for(one.digest, words, name_of)) for one in ranking],
    }
    return typeset("digest.typ", data, as_of)


def visit_note_pdf(
    digests: Sequence[FamilyDigest],
    words: Words,
    name_of: NameOf,
    *,
    as_of: datetime,
    paper: Paper = "a4",
) -> bytes:
    """Return visit notes as PDF, a page a family: what was told at home, checks and scales, then room to write."""
    say = words.plain
    families = []
    for digest in digests:
        wording = wording_for(digest, words, name_of)
        page = _family(digest, {digest.family: digest.nickname}, wording)
        page["said"] = [*page["said"], *_drawable([window_section(digest, wording)])]
        families.append(page)
    data = _common(words, paper) | {
        "title": say("digest.visit_title"),
        "visit_date": say("digest.visit_date"),
        "home": say("digest.visit_home"),
        "seen": say("digest.visit_seen"),
        "plan": say("digest.visit_plan"),
        "signed": say("digest.visit_signed"),
        "families": families,
    }
    return typeset("visit.typ", data, as_of)


def _common(words: Words, paper: Paper) -> dict[str, Any]:
    return {
        "lang": words.language,
        "paper": paper,
        "private": words.plain("digest.document_private"),
        # The template fills in the numbers, which only the finished pages know.
        "page_of": words.plain("digest.document_page", page="<page>", pages="<pages>"),
    }


def _moment(at: datetime, words: Words, name_of: NameOf) -> str:
    local = Wording(words, name_of, at.tzinfo or UTC)
    return local.time(at)


def _ranking_row(place: int, one: Ranked, names: dict[str, str], wording: Wording) -> dict[str, Any]:
    digest = one.digest
    share = digest.share_of_asked
    calm = wording.words.plain("digest.calm")
    return {
        "place": f"{place}.",
        "name": drawable(names[one.family]),
        "why": drawable("; ".join(wording.reason(reason) for reason in one.reasons) or calm),
        "of_asked": wording.words.plain("digest.unknown") if share is None else wording.share(share),
        "days": [state for _, state in digest.days],
    }


def _family(digest: FamilyDigest, names: dict[str, str], wording: Wording) -> dict[str, Any]:
    say = wording.words.plain
    # The first section tells the minutes in words; here the table does.
    facts = figure_sections(digest, wording)[1:]
    half = (len(facts) + 1) // 2
    known_only = digest.days_with_word < len(digest.days)
    return {
        "nickname": drawable(names[digest.family]),
        "baby": wording.baby(digest),
        "period": say(
            "digest.document_told_in_time", period=wording.period(digest), days=wording.days(digest)
        ),
        "minutes_head": say("digest.minutes_head_known" if known_only else "digest.minutes_head"),
        "heads": [
            say(f"digest.document_{head}")
            for head in (
                "activity",
                "asked",
                "done",
                "left",
                "right",
                "unsided",
                "times",
                "days",
                "a_day",
                "before",
            )
        ],
        "rows": [_row(figures, wording) for figures in digest.activities],
        "charts": [_chart(figures, wording) for figures in digest.activities],
        "labels": _day_labels([day for day, _ in digest.days], wording),
        "facts": [_drawable(facts[:half]), _drawable(facts[half:])],
        "said": _drawable(
            [
                *clinic_sections(digest, wording),
                *word_sections(digest, wording),
                *suggestion_section(digest, wording),
            ]
        ),
    }


def _day_labels(days: Sequence[date], wording: Wording) -> list[str]:
    """Return what stands below each day of a chart: short weekdays, or in a long time the Mondays' dates alone."""
    if len(days) <= MOST_NAMED_DAYS:
        return [wording.weekday(day)[:2] for day in days]
    mondays = [day for day in days if day.weekday() == 0]
    shown = set(mondays[:: max(1, -(-len(mondays) // MOST_NAMED_WEEKS))])
    return [wording.short_day(day) if day in shown else "" for day in days]


Cell = Callable[[float | None], str]


def _row(figures: ActivityFigures, wording: Wording) -> list[str]:
    def cell(value: float | None) -> str:
        return EMPTY_CELL if value is None else wording.minutes(value)

    def side(value: float | None) -> str:
        return cell(value) if figures.wants_sides or value else EMPTY_CELL

    unknown = wording.words.plain("digest.unknown")
    if figures.counts_times:
        return _times_row(figures, wording, cell, side)
    return [
        drawable(wording.name_of(figures.activity)),
        cell(figures.known_target if figures.minutes is not None else figures.target_minutes),
        unknown if figures.minutes is None else cell(figures.minutes),
        side(figures.left),
        side(figures.right),
        side(figures.unsided),
        cell(figures.sessions),
        cell(figures.days_with_any),
        cell(figures.pace.a_day if figures.pace else None),
        cell(figures.previous_pace.a_day if figures.previous_pace else None),
    ]


def _times_row(figures: ActivityFigures, wording: Wording, cell: Cell, side: Cell) -> list[str]:
    """Return the row of an activity that is counted by times: sessions where minutes would stand."""
    say = wording.words.plain

    def times(value: float | None) -> str:
        return EMPTY_CELL if value is None else say("digest.times_cell", n=wording.minutes(value))

    known = figures.sessions is not None
    return [
        drawable(wording.name_of(figures.activity)),
        times(figures.known_times if known else figures.target_times),
        times(figures.sessions) if known else say("digest.unknown"),
        *(side(amount) for amount in figures.by_side),
        cell(figures.sessions),
        cell(figures.days_with_any),
        EMPTY_CELL,
        EMPTY_CELL,
    ]


def _chart(figures: ActivityFigures, wording: Wording) -> dict[str, Any]:
    top = max([1.0, *(max(day.minutes or 0.0, day.target or 0.0) for day in figures.bars)])
    told = done_of_asked(figures, wording)
    if any(figures.by_side) and figures.wants_sides:
        told += f" ({sides_told(figures, wording)})"
    return {
        "name": drawable(wording.name_of(figures.activity)),
        "told": told,
        "top": top,
        "top_label": wording.minutes(top),
        "days": [
            {
                "state": day.state,
                "left": day.left,
                "right": day.right,
                "unsided": day.unsided,
                "target": day.target,
            }
            for day in figures.bars
        ],
    }


def _drawable(sections: Sequence[Section]) -> list[dict[str, Any]]:
    return [
        {"head": section.head, "lines": [drawable(line) for line in section.lines]} for section in sections
    ]


def typeset(template: str, data: dict[str, Any], as_of: datetime) -> bytes:
    import typst

    folder = Path(__file__).with_name("templates")
    return typst.compile(
        folder / template,
        root=folder,
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
        # The same week gives the same bytes.
        timestamp=int(as_of.timestamp()),
    )


@cache
def _fonts() -> typst.Fonts:
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[font_folder()])
