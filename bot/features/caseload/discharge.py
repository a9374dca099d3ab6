"""Discharge: asked twice, a kind good-bye to the family, a summary for the therapist; and taking it back."""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.digest.document import digest_pdf, paper_for
from bot.digest.figures import FamilyDigest
from bot.digest.ranking import ranked
from bot.digest.text import family_plain
from bot.digest.week import digest_of
from bot.domain.actor import Actor
from bot.domain.outgoing import Attachment, Button, OutgoingMessage, row
from bot.domain.people import Family, Therapist
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
                Button(words.plain("discharge.go_on_button"), f"dissure:{family.id}"),
                Button(words.plain("discharge.no_button"), f"disno:{family.id}"),
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
                Button(words.plain("discharge.now_button"), f"disnow:{family.id}"),
                Button(words.plain("discharge.no_button"), f"disno:{family.id}"),
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
    back = Button(words.plain("discharge.back_button"), f"disback:{family.id}")
    edit_pressed(context, event, words("discharge.done", nickname=family.nickname), (row(back),))
    _say_to_family(context, family, "discharge.good_bye", therapist)
    _summary(context, family, therapist)
    _note(context, family, therapist, "discharged")


def _say_to_family(context: Context, family: Family, key: str, therapist: Therapist) -> None:
    for carer in context.uow.carers.of_family(family.id):
        if carer.state == "active" and carer.chat_id is not None:
            words = words_for(carer.language)
            text = words(
                key, therapist=therapist.name, nickname=family.nickname, nurse_line=context.clinic.nurse_line
            )
            say_by_day(context, family, OutgoingMessage(chat_id=carer.chat_id, family=family.id, text=text))


def _summary(context: Context, family: Family, therapist: Therapist) -> None:
    """Say the whole time in words, and its last four weeks as a document."""
    versions = context.uow.plans.versions(family.id)
    if not versions:
        return
    words = words_for(therapist.language)

    def name_of(activity: str) -> str:
        return context.library.name(activity, therapist.language)

    began = context.uow.plans.began_at(family.id, versions[0].made_at)
    began = min(began, context.now - timedelta(hours=1))
    whole = _digest(context, family, began)
    recent = _digest(context, family, max(began, context.now - LAST_WEEKS))
    document = digest_pdf(
        ranked([recent]),
        words,
        name_of,
        as_of=context.now.astimezone(context.clinic.zone),
        paper=paper_for(context.clinic.zone.key),
    )
    caption = words("discharge.summary", nickname=family.nickname)
    text = family_plain(whole, words, name_of)
    for name, content in (("summary.pdf", document), ("summary.txt", text.encode())):
        context.tell_therapist(
            therapist,
            caption if name.endswith(".pdf") else "",
            attachment=Attachment("document", name, content=content),
        )


def _digest(context: Context, family: Family, since: datetime) -> FamilyDigest:
    return digest_of(facts_between(context.uow, family, context.now, from_at=since, to_at=context.now))


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
