"""Discharge: asked twice, a kind good-bye to the family, a summary for the therapist; and taking it back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from zoneinfo import ZoneInfo

from bot.activities.library import Library
from bot.digest.document import digest_pdf, paper_for
from bot.digest.facts import FamilyFacts
from bot.digest.ranking import ranked
from bot.digest.text import family_plain
from bot.digest.week import digest_of
from bot.digest.wording import names_in
from bot.domain.actor import Actor
from bot.domain.outgoing import Attachment, Button, Drawn, OutgoingMessage, row
from bot.domain.people import Family, Therapist
from bot.domain.rendering import SummaryRequest
from bot.features import verbs
from bot.features.access.family_choice import edit_pressed, own_family, say
from bot.features.caseload import browse
from bot.features.context import Context
from bot.features.events import Event
from bot.features.quiet_delivery import say_by_day
from bot.phrases import words_for
from bot.storage.reports.facts import facts_between

LAST_WEEKS = timedelta(days=28)  # as many days as a chart of the document can show; the text holds all


def pressed_first(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    """Ask once what discharge means."""
    family = own_family(context, event, therapist, argument)
    if family is None or family.state == "discharged":
        return
    words = words_for(therapist.language)
    say(
        context,
        event,
        words("discharge.first", nickname=family.nickname),
        (
            row(
                Button(words.plain("discharge.go_on_button"), verbs.DISCHARGE_SURE.data(family.id)),
                Button(words.plain("discharge.no_button"), verbs.DISCHARGE_NO.data(family.id)),
            ),
        ),
    )


def pressed_sure(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    """Ask a second time."""
    family = own_family(context, event, therapist, argument)
    if family is None or family.state == "discharged":
        return
    words = words_for(therapist.language)
    edit_pressed(
        context,
        event,
        words("discharge.second", nickname=family.nickname),
        (
            row(
                Button(words.plain("discharge.now_button"), verbs.DISCHARGE_NOW.data(family.id)),
                Button(words.plain("discharge.no_button"), verbs.DISCHARGE_NO.data(family.id)),
            ),
        ),
    )


def pressed_no(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    edit_pressed(context, event, words_for(therapist.language)("discharge.kept"))


def pressed_now(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    """Discharge: reminders end, the family hears good-bye, the therapist gets the summary."""
    family = own_family(context, event, therapist, argument)
    if family is None or family.state == "discharged":
        return
    context.uow.reminders.drop_planned(family.id)
    context.uow.families.discharge(family.id, context.now)
    words = words_for(therapist.language)
    back = Button(words.plain("discharge.back_button"), verbs.DISCHARGE_BACK.data(family.id))
    edit_pressed(context, event, words("discharge.done", nickname=family.nickname), (row(back),))
    _say_to_family(context, family, "discharge.good_bye", therapist)
    _summary(context, event, family, therapist)
    _note(context, family, therapist, "discharged")


def _say_to_family(context: Context, family: Family, key: str, therapist: Therapist) -> None:
    for carer in context.uow.carers.of_family(family.id):
        if carer.state == "active" and carer.chat_id is not None:
            words = words_for(carer.language)
            numbers = context.numbers(family, carer.language)
            text = words(
                key,
                therapist=therapist.name,
                nickname=family.nickname,
                nurse_line=numbers.nurse_line,
                emergency_line=numbers.emergency_line,
            )
            say_by_day(context, family, OutgoingMessage(chat_id=carer.chat_id, family=family.id, text=text))


def _summary(context: Context, event: Event, family: Family, therapist: Therapist) -> None:
    """Ask for the whole time in words, and its last four weeks as a document."""
    caption = words_for(therapist.language)("discharge.summary", nickname=family.nickname)
    context.say_making(event, therapist)
    for form in ("document", "text"):
        wanted = SummaryRequest(family=family.id, language=therapist.language, form=form, at=context.now)
        context.tell_therapist(therapist, caption if form == "document" else "", render=wanted)


@dataclass(frozen=True, slots=True)
class SummaryWork:
    """What the summary is made from. zone: the clinic's."""

    request: SummaryRequest
    facts: FamilyFacts
    zone: str

    def draw(self, library: Library) -> tuple[Drawn, ...]:
        words, name_of = words_for(self.request.language), names_in(library, self.request.language)
        digest = digest_of(self.facts)
        if self.request.form == "text":
            text = family_plain(digest, words, name_of).encode()
            return (Drawn(attachment=Attachment("document", "summary.txt", content=text)),)
        document = digest_pdf(
            ranked([digest]),
            words,
            name_of,
            as_of=self.request.at.astimezone(ZoneInfo(self.zone)),
            paper=paper_for(self.zone),
        )
        return (Drawn(attachment=Attachment("document", "summary.pdf", content=document)),)


def gather(context: Context, request: SummaryRequest) -> SummaryWork | None:
    family = context.uow.families.find(request.family)
    versions = context.uow.plans.versions(request.family)
    if family is None or not versions:
        return None
    since = context.uow.plans.began_at(family.id, versions[0].made_at)
    since = min(since, context.now - timedelta(hours=1))
    if request.form == "document":
        since = max(since, context.now - LAST_WEEKS)
    facts = facts_between(context.uow, family, context.now, from_at=since, to_at=context.now)
    return SummaryWork(request, facts, context.clinic.zone.key)


def pressed_back(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    """Take a discharge back: reminders go on with the plan as it stands."""
    family = own_family(context, event, therapist, argument)
    if family is None or family.state != "discharged":
        return
    context.uow.families.take_back_discharge(family.id, context.now)
    words = words_for(therapist.language)
    edit_pressed(context, event, words("discharge.taken_back", nickname=family.nickname))
    _say_to_family(context, family, "discharge.on_again", therapist)
    _note(context, family, therapist, "discharge taken back")
    browse.pressed_card(context, event, therapist, family.id)


def _note(context: Context, family: Family, therapist: Therapist, what: str) -> None:
    context.uow.audit.note(who=Actor.therapist(therapist.id), what=what, now=context.now, family_id=family.id)
