"""Days without a word: first fewer reminders (load.py), then one kind note, then the therapist is told. Once each.

A silent day is one on which a reminder was due and since which nobody wrote or pressed anything. Any word from any carer
ends the silence. It is looked at when a reminder goes out, so within the family's own hours.
The therapist gets no message of its own where the digest, whose notes tell it too, comes within a day.
Three and five days: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta

from bot.domain.outgoing import Button, OutgoingMessage, row
from bot.domain.people import Carer, Family
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.context import Context
from bot.phrases import words_for

NOTE_AFTER = 3
TELL_AFTER = 5
LOOK_BACK = timedelta(days=30)
DIGEST_TELLS = timedelta(days=1)  # a digest that comes so soon tells of the silence in its notes


def silent_days(days_with_prompts: Iterable[date], heard_on: date | None, today: date) -> int:
    """Count the days before today on which a reminder was due, after the day on which anybody was last heard."""
    return sum(1 for each in set(days_with_prompts) if each < today and (heard_on is None or each > heard_on))


def noticed(context: Context, family: Family, carers: Sequence[Carer]) -> None:
    """See how long it has been quiet, and do what is due now."""
    today = family.local(context.now).date()
    heard_on = family.local(family.heard_at).date() if family.heard_at is not None else None
    prompted = context.uow.reminders.days_with_reminders(family.id, since=today - LOOK_BACK)
    days = silent_days(prompted, heard_on, today)
    if days >= NOTE_AFTER and not _done_since(family.kind_note_at, family.heard_at):
        context.uow.families.note_check_in(family.id, context.now)
        for carer in carers:
            _kind_note(context, carer)
    if days >= TELL_AFTER and not _done_since(family.silence_told_at, family.heard_at):
        context.uow.families.note_inactivity_told(family.id, context.now)
        context.uow.notes.add_inactivity(family.id, context.now, days=days)
        _tell_therapist(context, family, carers, days)


def _done_since(done_at: datetime | None, heard_at: datetime | None) -> bool:
    return done_at is not None and (heard_at is None or done_at > heard_at)


def _kind_note(context: Context, carer: Carer) -> None:
    words = words_for(carer.language)
    context.say(
        OutgoingMessage(
            chat_id=carer.address,
            family=carer.family_id,
            text=words("silence.kind_note"),
            buttons=(
                row(
                    Button(words.plain("load.fewer_button"), verbs.LOAD.data("fewer")),
                    Button(words.plain("load.pause_button"), verbs.PAUSE.data(None)),
                ),
            ),
        )
    )


def _tell_therapist(context: Context, family: Family, carers: Sequence[Carer], days: int) -> None:
    therapist = context.uow.therapists.find(family.therapist_id)
    if therapist is None:
        return
    if therapist.next_digest_at is not None and therapist.next_digest_at - context.now <= DIGEST_TELLS:
        return
    words = words_for(therapist.language)
    key = "silence.therapist_told" if carers else "silence.therapist_told_unreached"
    text = words(key, nickname=family.nickname, n=days)
    about = Subject.family(family.id, carers[0].id) if carers else None
    context.tell_therapist(therapist, text, about=about)
