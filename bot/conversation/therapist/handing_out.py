"""The fridge sheet: made for a family, shown to the therapist first, then sent to the family in each one's language."""

from __future__ import annotations

from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.therapist.own_families import (
    choices,
    families_seen_by,
    family_at_front,
    family_by_ref,
    ref_of,
)
from bot.digest.document import paper_for
from bot.digest.handout import ClinicLines, handout_pdf
from bot.phrases import Language, words_for
from bot.records import audit, day, people
from bot.records.people import Carer, Family, Therapist
from bot.say import Attachment, Button, Say, row


async def handout(desk: Desk, incoming: Incoming, therapist: Therapist, text: str) -> None:
    """Answer /handout FAMILY."""
    words = words_for(therapist.language)
    found, _ = await family_at_front(desk, therapist, text)
    if text and not found:
        await desk.tell_therapist(therapist, words("page.no_such_family", name=text.split()[0]))
        return
    if len(found) == 1:
        await show(desk, therapist, found[0])
        return
    families = found or [f for f in await families_seen_by(desk, therapist) if f.state != "discharged"]
    buttons = choices(families, lambda each: f"sheet:{ref_of(each.id)}")
    await desk.tell_therapist(therapist, words("page.which_family"), buttons=buttons)


async def pressed_sheet(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    if (family := await family_by_ref(desk, therapist, argument)) is not None:
        await show(desk, therapist, family)


async def show(desk: Desk, therapist: Therapist, family: Family) -> None:
    """Send the therapist the sheet in the family's languages, with a button that sends it on."""
    readers = await _readers(desk, family)
    languages = sorted({carer.language for carer in readers}) or [therapist.language]
    words = words_for(therapist.language)
    send = (row(Button(words.plain("handout.send_button"), f"givesheet:{ref_of(family.id)}")),)
    for language in languages:
        last = language == languages[-1]
        await desk.tell_therapist(
            therapist,
            "",
            attachment=Attachment(
                "document", f"plan-{language}.pdf", content=await sheet(desk, family, language)
            ),
            buttons=send if last and readers else (),
        )


async def pressed_givesheet(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Send the sheet to every active carer, each in their own language; a second press of the same plan sends none."""
    family = await family_by_ref(desk, therapist, argument)
    if family is None:
        return
    readers = await _readers(desk, family)
    made = {language: await sheet(desk, family, language) for language in {c.language for c in readers}}
    told = 0
    for carer in readers:
        assert carer.chat_id is not None
        text = words_for(carer.language)("handout.for_fridge", nickname=family.nickname)
        attachment = Attachment("document", "plan.pdf", content=made[carer.language])
        said = await desk.say(
            Say(
                chat_id=carer.chat_id,
                family=family.id,
                text=text,
                attachment=attachment,
                key=f"sheet:{incoming.message_id}:{family.id}:{carer.id}"[:120],
            )
        )
        told += said is not None
    words = words_for(therapist.language)
    await desk.tell_therapist(therapist, words("handout.sent", n=told))
    who = f"therapist:{therapist.id}"
    await audit.note(desk.conn, who=who, what="fridge sheet sent", now=desk.now, family_id=family.id)


async def _readers(desk: Desk, family: Family) -> list[Carer]:
    return [
        carer
        for carer in await people.carers_of(desk.conn, family.id)
        if carer.state == "active" and carer.chat_id is not None and not carer.blocked
    ]


async def sheet(desk: Desk, family: Family, language: Language) -> bytes:
    """Return the fridge sheet of the plan in force."""
    version = await day.plan_of(desk.conn, family.id)
    therapist = await people.therapist(desk.conn, family.therapist_id)
    assert version is not None and therapist is not None
    clinic = desk.clinic
    return handout_pdf(
        version.plan,
        words_for(language),
        desk.library,
        lines=ClinicLines(clinic.name, therapist.name, clinic.emergency_line, clinic.nurse_line),
        as_of=family.local(desk.now),
        bot_name=desk.bot_name,
        paper=paper_for(family.zone.key),
    )
