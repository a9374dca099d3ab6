"""The fridge sheet: made for a family, shown to the therapist first, then sent to the family in each one's language."""

from __future__ import annotations

from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from bot.activities.arm import rested
from bot.activities.card import reviews_of
from bot.activities.library import Library
from bot.digest.document import paper_for
from bot.digest.handout import ClinicLines, handout_pdf
from bot.domain.actor import Actor
from bot.domain.outgoing import Attachment, Button, Drawn, OutgoingMessage, row
from bot.domain.people import Carer, Family, Therapist
from bot.domain.rendering import SheetRequest
from bot.features import verbs
from bot.features.access.family_choice import named_at_front
from bot.features.access.family_lookup import family_by_ref
from bot.features.context import Context
from bot.features.events import Event, pressed_under
from bot.phrases import Language, Words, words_for
from scheduling.plan import Plan


def handout(context: Context, event: Event, therapist: Therapist, text: str) -> None:
    """Answer /handout FAMILY."""
    found = named_at_front(context, event, therapist, text, lambda each: verbs.HANDOUT.data(each.id))
    if found is not None:
        show(context, event, therapist, found[0])


def pressed_sheet(context: Context, event: Event, therapist: Therapist, ref: str) -> None:
    if (family := family_by_ref(context, therapist, ref)) is not None:
        show(context, event, therapist, family)


def show(context: Context, event: Event, therapist: Therapist, family: Family) -> None:
    """Ask for the sheet in the family's languages, with a button that sends it on."""
    readers = _readers(context, family)
    languages = sorted({carer.language for carer in readers}) or [therapist.language]
    words = words_for(therapist.language)
    send = (row(Button(words.plain("handout.send_button"), verbs.GIVE_HANDOUT.data(family.id))),)
    context.say_making(event, therapist)
    for language in languages:
        last = language == languages[-1]
        wanted = _request(context, family, language, f"plan-{language}.pdf")
        text = _reviewed(context, family, words) if last else ""
        context.tell_therapist(therapist, text, buttons=send if last and readers else (), render=wanted)


def _request(context: Context, family: Family, language: Language, name: str) -> SheetRequest:
    return SheetRequest(family=family.id, language=language, name=name, at=context.now)


def pressed_givesheet(context: Context, event: Event, therapist: Therapist, ref: str) -> None:
    """Send the sheet to every active carer, each in their own language; a second press of the same plan sends none."""
    family = family_by_ref(context, therapist, ref)
    if family is None:
        return
    told = 0
    for carer in _readers(context, family):
        said = context.say(
            OutgoingMessage(
                chat_id=carer.address,
                family=family.id,
                text=words_for(carer.language)("handout.for_fridge", nickname=family.nickname),
                key=f"sheet:{pressed_under(event)}:{family.id}:{carer.id}"[:120],
                render=_request(context, family, carer.language, "plan.pdf"),
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


@dataclass(frozen=True, slots=True)
class SheetWork:
    """What a sheet is set from. zone: the family's. bot_name: for the code that opens the chat."""

    request: SheetRequest
    plan: Plan
    lines: ClinicLines
    zone: str
    bot_name: str | None

    def draw(self, library: Library) -> tuple[Drawn, ...]:
        content = handout_pdf(
            rested(self.plan, library),
            words_for(self.request.language),
            library,
            lines=self.lines,
            as_of=self.request.at.astimezone(ZoneInfo(self.zone)),
            bot_name=self.bot_name,
            paper=paper_for(self.zone),
        )
        return (Drawn(attachment=Attachment("document", self.request.name, content=content)),)


def gather(context: Context, request: SheetRequest) -> SheetWork | None:
    """Read the plan in force."""
    family = context.uow.families.find(request.family)
    version = context.uow.plans.current(request.family)
    if family is None or version is None:
        return None
    therapist = context.uow.therapists.get(family.therapist_id)
    numbers = context.numbers(replace(family, home_zone=None), request.language)  # paper is for home
    lines = ClinicLines(context.clinic.name, therapist.name, numbers.emergency_line, numbers.nurse_line)
    return SheetWork(request, version.plan, lines, family.zone.key, context.bot_name)
