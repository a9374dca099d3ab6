"""Visits: set by the therapist, told to the family, and put into calendars."""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.digest.calendar_file import WEEKDAYS, DigestTime, Visit, calendar_file
from bot.domain.actor import Actor
from bot.domain.outgoing import Attachment, Button, OutgoingMessage, row
from bot.domain.people import Clinic, Family, Therapist
from bot.domain.subject import Subject
from bot.domain.visits import KeptVisit
from bot.features import verbs
from bot.features.access.family_lookup import families_seen, family_at_front, family_by_ref
from bot.features.context import Context
from bot.features.events import Event
from bot.features.formats import day_shown, time_shown
from bot.features.visits.rules import visit_at
from bot.parsing.visit import VisitAsked, visit_asked
from bot.phrases import Words, words_for

MOST_LISTED = 20


def visit(context: Context, event: Event, therapist: Therapist, text: str) -> None:
    """Answer /visit FAMILY 2026-03-12 10:00 45min: set it, tell the family, send the calendar. Without a time, list
    what is set; each can be cancelled by a button."""
    words = words_for(therapist.language)
    families = families_seen(context, therapist, discharged=True)
    found, line = family_at_front(context, families, text)
    if text and not found:
        context.tell_therapist(therapist, words("therapist.none_found", name=text.split()[0]))
        return
    if not line:
        _list(context, therapist, found or families)
        return
    if len(found) > 1:
        # Two babies of one name: the id tells them apart.
        ids = ", ".join(family.id for family in found)
        context.tell_therapist(therapist, words("visit.which_of", ids=ids))
        return
    asked = visit_asked(line)
    at = visit_at(asked, context.now, context.clinic.zone)
    if asked is None or at is None:
        context.tell_therapist(therapist, words("visit.how"))
        return
    _set(context, therapist, found[0], asked, at)


def pressed_visits(context: Context, event: Event, therapist: Therapist, ref: str) -> None:
    """List one family's visits to come, with the calendar."""
    family = family_by_ref(context, therapist, ref)
    if family is not None:
        _list(context, therapist, [family])


def _set(context: Context, therapist: Therapist, family: Family, asked: VisitAsked, at: datetime) -> None:
    """Set a visit, tell the family, and send the therapist the calendar."""
    words = words_for(therapist.language)
    visit_id = context.uow.visits.add(
        family.id,
        at=at,
        minutes=asked.minutes,
        note=asked.note or None,
        made_by=therapist.id,
        now=context.now,
    )
    made = context.uow.visits.get(visit_id)
    told = _tell_family(context, therapist, family, made, off=False)
    context.tell_therapist(
        therapist,
        words(
            "visit.set" if told else "visit.set_untold",
            nickname=family.nickname,
            at=_shown(at, context.clinic, words),
            n=asked.minutes,
        ),
        buttons=(row(Button(words.plain("visit.cancel_button"), verbs.UNVISIT.data(visit_id, family.id))),),
        attachment=Attachment("document", "visits.ics", content=calendar_of(context, therapist)),
    )
    context.uow.audit.note(
        who=Actor.therapist(therapist.id), what="visit set", now=context.now, family_id=family.id
    )


def pressed_unvisit(context: Context, event: Event, therapist: Therapist, number: int, ref: str) -> None:
    """Cancel a visit and tell the family."""
    family = family_by_ref(context, therapist, ref)
    found = context.uow.visits.find(number)
    if family is None or found is None or found.family_id != family.id or found.cancelled:
        return
    context.uow.visits.cancel(found.id, context.now)
    words = words_for(therapist.language)
    if found.at > context.now:
        _tell_family(context, therapist, family, found, off=True)
    context.tell_therapist(
        therapist,
        words("visit.off", nickname=family.nickname, at=_shown(found.at, context.clinic, words)),
    )
    context.uow.audit.note(
        who=Actor.therapist(therapist.id), what="visit cancelled", now=context.now, family_id=family.id
    )


def _list(context: Context, therapist: Therapist, families: list[Family]) -> None:
    words = words_for(therapist.language)
    seen = {family.id for family in families}
    coming: list[KeptVisit] = []
    for family_id in sorted(seen):
        coming += context.uow.visits.of_family(family_id, since=context.now - timedelta(hours=1))
    coming = sorted(coming, key=lambda each: each.at)[:MOST_LISTED]
    if not coming:
        context.tell_therapist(therapist, words("visit.none") + "\n" + words("visit.how"))
        return
    lines = [words("visit.list")]
    lines += [
        words("visit.line", nickname=each.nickname, at=_shown(each.at, context.clinic, words), n=each.minutes)
        for each in coming
    ]
    buttons = tuple(
        row(
            Button(
                words.plain("visit.cancel_one_button", nickname=each.nickname)[:24],
                verbs.UNVISIT.data(each.id, each.family_id),
            )
        )
        for each in coming
    )
    calendar = Attachment("document", "visits.ics", content=calendar_of(context, therapist))
    context.tell_therapist(therapist, "\n".join(lines), buttons=buttons, attachment=calendar)


def _tell_family(
    context: Context, therapist: Therapist, family: Family, visit: KeptVisit, *, off: bool
) -> bool:
    """Tell every active carer, with the file that puts it into a calendar or strikes it out; return whether anybody
    could be told."""
    told = False
    for carer in context.uow.carers.of_family(family.id):
        if carer.state != "active" or carer.chat_id is None or carer.blocked:
            continue
        words = words_for(carer.language)
        text = words(
            "visit.family_told_off" if off else "visit.family_told",
            nickname=family.nickname,
            therapist=therapist.name,
            clinic=context.clinic.name,
            at=_shown(visit.at, context.clinic, words),
            n=visit.minutes,
        )
        shown = Visit(str(visit.id), family.nickname, visit.at, visit.minutes, off=off)
        content = calendar_file(words, time_zone=context.clinic.zone.key, as_of=context.now, visits=[shown])
        attachment = Attachment("document", "visit.ics", content=content)
        context.say(
            OutgoingMessage(
                chat_id=carer.chat_id,
                family=family.id,
                text=text,
                attachment=attachment,
                about=Subject.of("visit", visit.id),
            )
        )
        told = True
    return told


def calendar_of(context: Context, therapist: Therapist) -> bytes:
    """Return the therapist's calendar: all visits to come, and the weekly digest."""
    coming = context.uow.visits.of_therapist(therapist.id, since=context.now - timedelta(days=1))
    return calendar_file(
        words_for(therapist.language),
        time_zone=context.clinic.zone.key,
        as_of=context.now,
        visits=[Visit(str(each.id), each.nickname, each.at, each.minutes) for each in coming],
        digest=DigestTime(WEEKDAYS[context.clinic.digest_weekday], context.clinic.digest_at),
    )


def _shown(at: datetime, clinic: Clinic, words: Words) -> str:
    """Return a visit's time on the clinic's wall clock: where it takes place."""
    local = at.astimezone(clinic.zone)
    return f"{day_shown(local.date(), words)}, {time_shown(local.time(), words)}"
