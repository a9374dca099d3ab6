"""Visits: set by the therapist, told to the family, and put into calendars."""

from __future__ import annotations

from datetime import datetime, timedelta

from babel.dates import format_datetime

from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.therapist.own_families import families_seen_by, family_at_front, family_by_ref, ref_of
from bot.digest.calendar_file import WEEKDAYS, DigestTime, Visit, calendar_file
from bot.digest.visit_words import visit_asked
from bot.phrases import Words, words_for
from bot.records import audit, people
from bot.records import visits as kept
from bot.records.people import Clinic, Family, Therapist
from bot.records.visits import KeptVisit
from bot.say import Attachment, Button, Say, row
from scheduling.localtime import instant_for

MOST_LISTED = 20
FARTHEST = timedelta(days=731)


async def visit(desk: Desk, incoming: Incoming, therapist: Therapist, text: str) -> None:
    """Answer /visit FAMILY 2026-03-12 10:00 45min: set it, tell the family, send the calendar. Without a time, list
    what is set; each can be cancelled by a button."""
    words = words_for(therapist.language)
    found, line = await family_at_front(desk, therapist, text)
    if text and not found:
        await desk.tell_therapist(therapist, words("page.no_such_family", name=text.split()[0]))
        return
    if not line:
        await _list(desk, therapist, found or await families_seen_by(desk, therapist))
        return
    if len(found) > 1:
        # Two babies of one name: the id tells them apart.
        ids = ", ".join(family.id for family in found)
        await desk.tell_therapist(therapist, words("visit.which_of", ids=ids))
        return
    asked = visit_asked(line)
    at = instant_for(asked.day, asked.at, desk.clinic.zone) if asked else None
    if asked is None or at is None or not desk.now < at < desk.now + FARTHEST:
        await desk.tell_therapist(therapist, words("visit.how"))
        return
    visit_id = await kept.add_visit(
        desk.conn,
        found[0].id,
        at=at,
        minutes=asked.minutes,
        note=asked.note or None,
        made_by=therapist.id,
        now=desk.now,
    )
    made = await kept.visit(desk.conn, visit_id)
    assert made is not None
    told = await _tell_family(desk, therapist, found[0], made, off=False)
    await desk.tell_therapist(
        therapist,
        words(
            "visit.set" if told else "visit.set_untold",
            nickname=found[0].nickname,
            at=_shown(at, desk.clinic, words),
            n=asked.minutes,
        ),
        buttons=(
            row(Button(words.plain("visit.cancel_button"), f"unvisit:{visit_id}:{ref_of(found[0].id)}")),
        ),
        attachment=Attachment("document", "visits.ics", content=await calendar_of(desk, therapist)),
    )
    await audit.note(
        desk.conn, who=f"therapist:{therapist.id}", what="visit set", now=desk.now, family_id=found[0].id
    )


async def pressed_unvisit(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Cancel a visit and tell the family."""
    number, _, ref = argument.partition(":")
    family = await family_by_ref(desk, therapist, ref)
    found = await kept.visit(desk.conn, int(number)) if number.isdigit() else None
    if family is None or found is None or found.family_id != family.id or found.cancelled:
        return
    await kept.cancel(desk.conn, found.id, desk.now)
    words = words_for(therapist.language)
    if found.at > desk.now:
        await _tell_family(desk, therapist, family, found, off=True)
    await desk.tell_therapist(
        therapist,
        words("visit.off", nickname=family.nickname, at=_shown(found.at, desk.clinic, words)),
    )
    await audit.note(
        desk.conn, who=f"therapist:{therapist.id}", what="visit cancelled", now=desk.now, family_id=family.id
    )


async def _list(desk: Desk, therapist: Therapist, families: list[Family]) -> None:
    words = words_for(therapist.language)
    seen = {family.id for family in families}
    coming: list[KeptVisit] = []
    for family_id in sorted(seen):
        coming += await kept.visits_of_family(desk.conn, family_id, since=desk.now - timedelta(hours=1))
    coming = sorted(coming, key=lambda each: each.at)[:MOST_LISTED]
    if not coming:
        await desk.tell_therapist(therapist, words("visit.none") + "\n" + words("visit.how"))
        return
    lines = [words("visit.list")]
    lines += [
        words("visit.line", nickname=each.nickname, at=_shown(each.at, desk.clinic, words), n=each.minutes)
        for each in coming
    ]
    buttons = tuple(
        row(
            Button(
                words.plain("visit.cancel_one_button", nickname=each.nickname)[:24],
                f"unvisit:{each.id}:{ref_of(each.family_id)}",
            )
        )
        for each in coming
    )
    calendar = Attachment("document", "visits.ics", content=await calendar_of(desk, therapist))
    await desk.tell_therapist(therapist, "\n".join(lines), buttons=buttons, attachment=calendar)


async def _tell_family(
    desk: Desk, therapist: Therapist, family: Family, visit: KeptVisit, *, off: bool
) -> bool:
    """Tell every active carer, with the file that puts it into a calendar or strikes it out; return whether anybody
    could be told."""
    told = False
    for carer in await people.carers_of(desk.conn, family.id):
        if carer.state != "active" or carer.chat_id is None or carer.blocked:
            continue
        words = words_for(carer.language)
        text = words(
            "visit.family_told_off" if off else "visit.family_told",
            nickname=family.nickname,
            therapist=therapist.name,
            clinic=desk.clinic.name,
            at=_shown(visit.at, desk.clinic, words),
            n=visit.minutes,
        )
        shown = Visit(str(visit.id), family.nickname, visit.at, visit.minutes, off=off)
        content = calendar_file(words, time_zone=desk.clinic.zone.key, as_of=desk.now, visits=[shown])
        attachment = Attachment("document", "visit.ics", content=content)
        await desk.say(
            Say(
                chat_id=carer.chat_id,
                family=family.id,
                text=text,
                attachment=attachment,
                about=f"visit:{visit.id}",
            )
        )
        told = True
    return told


async def calendar_of(desk: Desk, therapist: Therapist) -> bytes:
    """Return the therapist's calendar: all visits to come, and the weekly digest."""
    coming = await kept.visits_of_therapist(desk.conn, therapist.id, since=desk.now - timedelta(days=1))
    return calendar_file(
        words_for(therapist.language),
        time_zone=desk.clinic.zone.key,
        as_of=desk.now,
        visits=[Visit(str(each.id), each.nickname, each.at, each.minutes) for each in coming],
        digest=DigestTime(WEEKDAYS[desk.clinic.digest_weekday], desk.clinic.digest_at),
    )


def _shown(at: datetime, clinic: Clinic, words: Words) -> str:
    """Return a visit's time on the clinic's wall clock: where it takes place."""
    local = at.astimezone(clinic.zone)
    pattern = "EEEE d 'de' MMMM, H:mm" if words.language == "es" else "EEEE, MMMM d, h:mm a"
    return str(format_datetime(local, pattern, locale="es" if words.language == "es" else "en_US"))
