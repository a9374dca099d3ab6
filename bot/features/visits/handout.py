"""The fridge sheet: made for a family, shown to the therapist first, then sent to the family in each one's language."""

from __future__ import annotations

from bot.activities.card import reviews_of
from bot.digest.document import paper_for
from bot.digest.handout import ClinicLines, handout_pdf
from bot.domain.actor import Actor
from bot.domain.outgoing import Attachment, Button, OutgoingMessage, row
from bot.domain.people import Carer, Family, Therapist
from bot.features.access.family_lookup import (
    choices,
    current_families,
    family_at_front,
    family_by_ref,
    ref_of,
)
from bot.features.context import Context
from bot.features.events import Event
from bot.phrases import Language, Words, words_for


def handout(context: Context, event: Event, therapist: Therapist, text: str) -> None:
    """Answer /handout FAMILY."""
    words = words_for(therapist.language)
    found, _ = family_at_front(context, therapist, text)
    if text and not found:
        context.tell_therapist(therapist, words("page.no_such_family", name=text.split()[0]))
        return
    if len(found) == 1:
        show(context, therapist, found[0])
        return
    families = found or current_families(context, therapist)
    buttons = choices(families, lambda each: f"sheet:{ref_of(each.id)}")
    context.tell_therapist(therapist, words("page.which_family"), buttons=buttons)


def pressed_sheet(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    if (family := family_by_ref(context, therapist, argument)) is not None:
        show(context, therapist, family)


def show(context: Context, therapist: Therapist, family: Family) -> None:
    """Send the therapist the sheet in the family's languages, with a button that sends it on."""
    readers = _readers(context, family)
    languages = sorted({carer.language for carer in readers}) or [therapist.language]
    words = words_for(therapist.language)
    send = (row(Button(words.plain("handout.send_button"), f"givesheet:{ref_of(family.id)}")),)
    for language in languages:
        last = language == languages[-1]
        context.tell_therapist(
            therapist,
            _reviewed(context, family, words) if last else "",
            attachment=Attachment(
                "document", f"plan-{language}.pdf", content=sheet(context, family, language)
            ),
            buttons=send if last and readers else (),
        )


def pressed_givesheet(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    """Send the sheet to every active carer, each in their own language; a second press of the same plan sends none."""
    family = family_by_ref(context, therapist, argument)
    if family is None:
        return
    readers = _readers(context, family)
    made = {language: sheet(context, family, language) for language in {c.language for c in readers}}
    told = 0
    for carer in readers:
        text = words_for(carer.language)("handout.for_fridge", nickname=family.nickname)
        attachment = Attachment("document", "plan.pdf", content=made[carer.language])
        said = context.say(
            OutgoingMessage(
                chat_id=carer.address,
                family=family.id,
                text=text,
                attachment=attachment,
                key=f"sheet:{event.message_id}:{family.id}:{carer.id}"[:120],
            )
        )
        told += said is not None
    words = words_for(therapist.language)
    context.tell_therapist(therapist, words("handout.sent", n=told))
    who = Actor.therapist(therapist.id)
    context.uow.audit.note(who=who, what="fridge sheet sent", now=context.now, family_id=family.id)


def _reviewed(context: Context, family: Family, words: Words) -> str:
    """Return which of the sheet's texts a licensed therapist has reviewed: for the therapist, not on the sheet."""
    version = context.uow.plans.current(family.id)
    activities = version.plan.activities if version else ()
    known = [context.library[each.activity] for each in activities if each.activity in context.library]
    return reviews_of(known, words) if known else ""


def _readers(context: Context, family: Family) -> list[Carer]:
    return [
        carer
        for carer in context.uow.carers.of_family(family.id)
        if carer.state == "active" and carer.chat_id is not None and not carer.blocked
    ]


def sheet(context: Context, family: Family, language: Language) -> bytes:
    """Return the fridge sheet of the plan in force."""
    version = context.uow.plans.get(family.id)
    therapist = context.uow.therapists.get(family.therapist_id)
    clinic = context.clinic
    return handout_pdf(
        version.plan,
        words_for(language),
        context.library,
        lines=ClinicLines(clinic.name, therapist.name, clinic.emergency_line, clinic.nurse_line),
        as_of=family.local(context.now),
        bot_name=context.bot_name,
        paper=paper_for(family.zone.key),
    )
