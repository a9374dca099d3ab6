"""Who saw or changed what of a family, for its therapist to read."""

from __future__ import annotations

from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.therapist.therapist_talk import chosen_family, say, seen_family
from bot.conversation.therapist.therapist_words import when_shown
from bot.phrases import Words, words_for
from bot.records import audit, people
from bot.records.audit import Act
from bot.records.people import Family, Therapist
from bot.say import Button, row

A_PAGE = 15


async def shown(desk: Desk, incoming: Incoming, therapist: Therapist, wanted: str) -> None:
    """/audit FAMILY: who saw or changed what, the newest first."""
    family = await chosen_family(desk, incoming, therapist, wanted, "audit")
    if family is not None:
        await pressed(desk, incoming, therapist, family.id)


async def pressed(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """A page of it: "audit:FAMILY", "audit:FAMILY:NUMBER" for what came before that entry."""
    family_id, _, before = argument.partition(":")
    family = await seen_family(desk, incoming, therapist, family_id)
    if family is None:
        return
    words = words_for(therapist.language)
    acts = await audit.of_family(
        desk.conn, family.id, most=A_PAGE + 1, before=int(before) if before.isdigit() else None
    )
    lines = [words("audit.title", nickname=family.nickname)]
    lines += [await _line(desk, act, family, words) for act in acts[:A_PAGE]]
    if not acts:
        lines.append(words("audit.nothing"))
    more = (
        (row(Button(words.plain("audit.older_button"), f"audit:{family.id}:{acts[A_PAGE - 1].id}")),)
        if len(acts) > A_PAGE
        else ()
    )
    await say(desk, incoming, "\n".join(lines), more)
    await audit.note(
        desk.conn, who=f"therapist:{therapist.id}", what="audit seen", now=desk.now, family_id=family.id
    )


async def _line(desk: Desk, act: Act, family: Family, words: Words) -> str:
    key = "audit.act_" + act.what.replace(" ", "_").replace("-", "_")
    what = words.plain(key) if words.has(key) else act.what
    who = await _who(desk, act.who, family, words)
    return words("audit.line", when=when_shown(act.at, family, words), who=who, what=what)


async def _who(desk: Desk, who: str, family: Family, words: Words) -> str:
    kind, _, name = who.partition(":")
    if kind == "therapist" and (therapist := await people.therapist(desk.conn, name)):
        return therapist.name
    if kind == "carer" and (carer := await people.carer(desk.conn, family.id, name.rpartition("/")[2])):
        return carer.name
    return words.plain("audit.server") if kind == "server" else who
