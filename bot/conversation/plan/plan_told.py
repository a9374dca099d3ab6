"""A new version of a plan is told to the family in plain words: once, to everyone who has joined, outside quiet hours.

Several versions made in a row are told as one: what is different from the last that was told.
"""

from __future__ import annotations

import html
from datetime import datetime

from babel.dates import format_skeleton
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.conversation.by_day import quiet_ends
from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.plan.plan_in_words import activity_line, change_line
from bot.conversation.therapist.therapist_talk import chosen_family, say, seen_family
from bot.phrases import Words, words_for
from bot.records import audit, people, plans
from bot.records.people import Family, Therapist
from bot.records.plans import Untold
from bot.say import Button, Say, row
from scheduling.plan import Plan
from scheduling.plan_difference import Change, changes_between

FAMILIES_A_TURN = 50
MOST_VERSIONS = 8  # listed under a plan


async def tell_due(desk: Desk) -> None:
    """Tell families of new versions of their plans, where it is no quiet hour."""
    for family_id in await plans.untold_families(desk.conn, limit=FAMILIES_A_TURN):
        family = await people.family(desk.conn, family_id)
        untold = await plans.untold(desk.conn, family_id)
        if family is None or untold is None:
            continue
        if quiet_ends(untold.after, family, desk.now) is None:
            await _tell(desk, family, untold)


async def next_due(conn: AsyncConnection, now: datetime) -> datetime | None:
    """Return when the next family may be told, for a clock that jumps."""
    known = []
    for family_id in await plans.untold_families(conn, limit=FAMILIES_A_TURN):
        family = await people.family(conn, family_id)
        untold = await plans.untold(conn, family_id)
        if family is not None and untold is not None:
            known.append(quiet_ends(untold.after, family, now) or now)
    return min(known, default=None)


async def _tell(desk: Desk, family: Family, untold: Untold) -> None:
    changes = changes_between(untold.before, untold.after)
    await plans.mark_told(desk.conn, family.id, desk.now)
    therapist = await people.therapist(desk.conn, family.therapist_id)
    if not changes or therapist is None:
        return
    if not untold.note:
        in_words = lines_of(changes, untold.after, words_for(therapist.language), desk)
        await plans.set_note(desk.conn, family.id, untold.version, " ".join(in_words))
    by_carer = _carer_in(untold.made_by)
    by_family = by_carer is not None or untold.made_by == "server"
    for carer in await people.carers_of(desk.conn, family.id):
        if carer.state != "active" or carer.chat_id is None or carer.id == by_carer:
            continue
        words = words_for(carer.language)
        head = (
            words("change.told_by_family", nickname=family.nickname)
            if by_family
            else words("change.told", therapist=therapist.name, nickname=family.nickname)
        )
        lines = [f"• {line}" for line in lines_of(changes, untold.after, words, desk)]
        tail = () if by_family else (words("change.questions", therapist=therapist.name),)
        await desk.say(
            Say(
                chat_id=carer.chat_id,
                family=family.id,
                text="\n".join([head, *map(_escaped, lines), *tail]),
                key=f"plan:{family.id}:{untold.version}:{carer.id}",
                about=f"plan:{untold.version}",
            )
        )
    await audit.note(
        desk.conn,
        who="server",
        what="plan told",
        now=desk.now,
        family_id=family.id,
        detail=str(untold.version),
    )


def lines_of(changes: tuple[Change, ...], plan: Plan, words: Words, desk: Desk) -> list[str]:
    """Return one plain line a change, in the language of `words`."""
    return [
        change_line(change, plan, words, lambda activity: desk.library.name(activity, words.language))
        for change in changes
    ]


def _escaped(line: str) -> str:
    return html.escape(line, quote=False)


# ---------------------------------------------------------------- showing it to the therapist


async def plan(desk: Desk, incoming: Incoming, therapist: Therapist, wanted: str) -> None:
    """/plan FAMILY: the plan in force, and its versions."""
    family = await chosen_family(desk, incoming, therapist, wanted, "planshow")
    if family is not None:
        await pressed_show(desk, incoming, therapist, family.id)


async def pressed_show(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    family = await seen_family(desk, incoming, therapist, argument)
    if family is None:
        return
    words = words_for(therapist.language)
    versions = await plans.versions(desk.conn, family.id)
    newest = versions[-1]

    def name_of(activity: str) -> str:
        return desk.library.name(activity, therapist.language)

    lines = [words("change.plan_title", nickname=family.nickname, n=newest.version)]
    lines += [
        f"• {_escaped(activity_line(each, newest.plan, words, name_of))}" for each in newest.plan.activities
    ]
    if not newest.plan.activities:
        lines.append(words("change.empty_plan"))
    lines += ["", words("change.versions")]
    for each in reversed(versions[-MOST_VERSIONS:]):
        by = await _maker(desk, each.made_by, family, words)
        day = format_skeleton("yMMMd", family.local(each.made_at).date(), locale=words.language)
        lines.append(words("change.version", n=each.version, day=day, by=by))
        if each.note:
            lines.append(words("change.version_note", note=each.note))
    button = Button(words.plain("caseload.back_button"), f"fam:{family.id}")
    await say(desk, incoming, "\n".join(lines), (row(button),), about=f"family:{family.id}/")
    await audit.note(
        desk.conn, who=f"therapist:{therapist.id}", what="plan seen", now=desk.now, family_id=family.id
    )


def _carer_in(made_by: str | None) -> str | None:
    """Return the carer's id where a carer made a version: "carer:c1", "carer:f1/c1"."""
    if made_by is None or not made_by.startswith("carer:"):
        return None
    return made_by.removeprefix("carer:").rsplit("/", 1)[-1]


async def _maker(desk: Desk, made_by: str | None, family: Family, words: Words) -> str:
    """Return who made a version, by name."""
    if made_by in (None, "file"):
        return words.plain("change.from_file")
    if made_by == "server":
        return words.plain("audit.server")
    assert made_by is not None
    if found := await people.therapist(desk.conn, made_by.removeprefix("therapist:")):
        return found.name
    carer = await people.carer(desk.conn, family.id, _carer_in(made_by) or made_by)
    return carer.name if carer else made_by
