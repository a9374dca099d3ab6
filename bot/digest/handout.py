"""The fridge sheet: a family's plan on one page, in plain words. Nothing on it names a diagnosis or a weak side.

Each hold with side, minutes, two handling cues and its stop signs; the clinic's lines; a code that opens the chat.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import segno

from bot.activities.library import Library
from bot.activities.schema import SIDES, placeholders_of
from bot.activities.sides import cues_for, filled, side_words
from bot.digest.document import Paper, typeset
from bot.digest.glyphs import drawable
from bot.digest.wording import Wording
from bot.phrases import Words
from scheduling.day import shape_of, target_amount
from scheduling.plan import Activity, Plan, Ratio, Side

CUES = 2


@dataclass(frozen=True, slots=True)
class ClinicLines:
    """Who is behind the sheet, and whom to call."""

    clinic: str
    therapist: str
    emergency_line: str
    nurse_line: str


def handout_pdf(
    plan: Plan,
    words: Words,
    library: Library,
    *,
    lines: ClinicLines,
    as_of: datetime,
    bot_name: str | None = None,
    paper: Paper = "a4",
) -> bytes:
    """Return the sheet as a PDF of one page, the letters as large as the plan allows.

    as_of: aware, in the family's zone; what is held on that date is left out. bot_name: the bot's name at the
    messaging service, for the code; without it the sheet has none.
    """
    data = _contents(plan, words, library, lines, as_of)
    data |= {"paper": paper, "code": code_svg(chat_link(bot_name)) if bot_name else None}
    return typeset("handout.typ", data, as_of)


def _contents(
    plan: Plan, words: Words, library: Library, lines: ClinicLines, as_of: datetime
) -> dict[str, Any]:
    """Return every text of the sheet, as its template takes them."""
    day = as_of.date()
    say = words.plain
    return {
        "lang": words.language,
        "title": drawable(say("handout.title", nickname=plan.baby.nickname)),
        "subtitle": drawable(
            say(
                "handout.subtitle",
                therapist=lines.therapist,
                clinic=lines.clinic,
                day=Wording(words, str, as_of.tzinfo or as_of.astimezone().tzinfo).day(day),  # type: ignore[arg-type]
            )
        ),
        "stop": say("handout.stop"),
        "holds": [
            _hold(each, plan, words, library, day) for each in plan.activities if not each.held_on(day)
        ],
        "nothing": say("handout.nothing"),
        "always": [say("sleep.safe"), say("handout.not_sure", therapist=lines.therapist)],
        "urgent": drawable(say("handout.urgent", emergency_line=lines.emergency_line)),
        "nurse": drawable(say("handout.nurse", nurse_line=lines.nurse_line)),
        "no_emergency": say("handout.no_emergency"),
        "code_label": say("handout.code"),
    }


def chat_link(bot_name: str) -> str:
    return f"https://t.me/{bot_name.removeprefix('@')}"


def code_svg(link: str) -> str:
    """Return a QR code (ISO/IEC 18004) of a link as SVG, with the quiet zone that the standard asks for."""
    out = io.BytesIO()
    segno.make(link, error="m", micro=False).save(out, kind="svg", border=4, xmldecl=False, svgns=True)
    return out.getvalue().decode("ascii")


def _hold(each: Activity, plan: Plan, words: Words, library: Library, day: date) -> dict[str, Any]:
    said = [_minutes(each, plan, words, day)]
    if each.moments:
        moments = ", ".join(words.plain(f"handout.moment_{moment}") for moment in each.moments)
        said.append(words.plain("handout.at_moments", moments=moments))
    if each.after_feed:
        said.append(words.plain("handout.after_feed", n=each.after_feed))
    return {
        "name": drawable(library.name(each.activity, words.language)),
        "side": side_told(each, plan, words),
        "minutes": " · ".join(said),
        "cues": _lines(each, plan, words, library, "cues")[:CUES],
        "stop_signs": _lines(each, plan, words, library, "stop_signs"),
    }


def _minutes(each: Activity, plan: Plan, words: Words, day: date) -> str:
    least, most = each.session
    if each.target is None:
        return words.plain("handout.in_goal", least=least, most=most)
    asked = f"{target_amount(each.target, shape_of(plan, day)):g}"
    if each.counts_times:
        return words.plain("handout.once") if asked == "1" else words.plain("handout.times", times=asked)
    if least == most:
        return words.plain("handout.minutes_each", minutes=asked, each=least)
    return words.plain("handout.minutes", minutes=asked, least=least, most=most)


def side_told(each: Activity, plan: Plan, words: Words) -> str:
    """Return the side by its plain name: "right side", "left and right in turn", "right 2 ×, then left 1 ×"; "" for none."""
    affected = plan.baby.affected_side
    names = {side: words.plain(f"handout.{side}") for side in ("left", "right")}
    if each.side == "none":
        return ""
    if each.side == "alternate" or affected == "both":
        return words.plain("handout.in_turn")
    other: Side = "left" if affected == "right" else "right"
    if isinstance(each.side, Ratio):
        first, second = f"{each.side.affected:g}", f"{each.side.unaffected:g}"
        return words.plain(
            "handout.ratio", side=names[affected], times=first, other=names[other], other_times=second
        )
    return words.plain("handout.one_side", side=names[affected if each.side == "affected" else other])


def _one_side(each: Activity, plan: Plan) -> Side | None:
    affected = plan.baby.affected_side
    if affected == "both" or each.side not in ("affected", "unaffected"):
        return None
    return affected if each.side == "affected" else ("left" if affected == "right" else "right")


def _lines(each: Activity, plan: Plan, words: Words, library: Library, part: str) -> list[str]:
    """Return cues or stop signs with this baby's names; cues that would need one side where there are two are left
    out."""
    found = library.get(each.activity)
    if found is None:
        return []
    affected, side = plan.baby.affected_side, _one_side(each, plan)
    values = side_words(found, language=words.language, affected_side=affected, side=side)
    values |= {"nickname": plan.baby.nickname}
    if part == "stop_signs":
        return [drawable(line) for line in filled(found.text(words.language).stop_signs, values)]
    cues: Sequence[str] = cues_for(found, language=words.language, affected_side=affected, side=side)
    plain = [cue for cue in cues if side or not SIDES & set(placeholders_of(cue))]
    return [drawable(line) for line in filled(plain, values)]
