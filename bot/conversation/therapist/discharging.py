"""Discharge: asked twice, a kind good-bye to the family, a summary for the therapist; and taking it back."""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.conversation.by_day import say_by_day
from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.therapist import caseload
from bot.conversation.therapist.therapist_talk import edit_pressed, own_family, say
from bot.digest.document import digest_pdf, paper_for
from bot.digest.figures import FamilyDigest
from bot.digest.ranking import ranked
from bot.digest.text import family_plain
from bot.digest.week import digest_of
from bot.phrases import words_for
from bot.records import audit, day, people
from bot.records.facts import facts_between
from bot.records.people import Family, Therapist
from bot.say import Attachment, Button, Say, row

LAST_WEEKS = timedelta(days=28)  # as many days as a chart of the document can show; the text holds all


async def pressed_first(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Ask once what discharge means."""
    family = await own_family(desk, incoming, therapist, argument)
    if family is None or family.state == "discharged":
        return
    words = words_for(therapist.language)
    await say(
        desk,
        incoming,
        words("discharge.first", nickname=family.nickname),
        (
            row(
                Button(words.plain("discharge.go_on_button"), f"dissure:{family.id}"),
                Button(words.plain("discharge.no_button"), f"disno:{family.id}"),
            ),
        ),
    )


async def pressed_sure(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Ask a second time."""
    family = await own_family(desk, incoming, therapist, argument)
    if family is None or family.state == "discharged":
        return
    words = words_for(therapist.language)
    await edit_pressed(
        desk,
        incoming,
        words("discharge.second", nickname=family.nickname),
        (
            row(
                Button(words.plain("discharge.now_button"), f"disnow:{family.id}"),
                Button(words.plain("discharge.no_button"), f"disno:{family.id}"),
            ),
        ),
    )


async def pressed_no(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    await edit_pressed(desk, incoming, words_for(therapist.language)("discharge.kept"))


async def pressed_now(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Discharge: reminders end, the family hears good-bye, the therapist gets the summary."""
    family = await own_family(desk, incoming, therapist, argument)
    if family is None or family.state == "discharged":
        return
    await day.drop_planned(desk.conn, family.id)
    await people.change_family(
        desk.conn, family.id, state="discharged", discharged_at=desk.now, plan_at=None, paused_until=None
    )
    words = words_for(therapist.language)
    back = Button(words.plain("discharge.back_button"), f"disback:{family.id}")
    await edit_pressed(desk, incoming, words("discharge.done", nickname=family.nickname), (row(back),))
    await _say_to_family(desk, family, "discharge.good_bye", therapist)
    await _summary(desk, family, therapist)
    await _note(desk, family, therapist, "discharged")


async def _say_to_family(desk: Desk, family: Family, key: str, therapist: Therapist) -> None:
    for carer in await people.carers_of(desk.conn, family.id):
        if carer.state == "active" and carer.chat_id is not None:
            words = words_for(carer.language)
            text = words(
                key, therapist=therapist.name, nickname=family.nickname, nurse_line=desk.clinic.nurse_line
            )
            await say_by_day(desk, family, Say(chat_id=carer.chat_id, family=family.id, text=text))


async def _summary(desk: Desk, family: Family, therapist: Therapist) -> None:
    """Say the whole time in words, and its last four weeks as a document."""
    versions = await day.plan_versions(desk.conn, family.id)
    if not versions:
        return
    words = words_for(therapist.language)

    def name_of(activity: str) -> str:
        return desk.library.name(activity, therapist.language)

    began = await day.began_at(desk.conn, family.id, versions[0].made_at)
    began = min(began, desk.now - timedelta(hours=1))
    whole = await _digest(desk, family, began)
    recent = await _digest(desk, family, max(began, desk.now - LAST_WEEKS))
    document = digest_pdf(
        ranked([recent]),
        words,
        name_of,
        as_of=desk.now.astimezone(desk.clinic.zone),
        paper=paper_for(desk.clinic.zone.key),
    )
    caption = words("discharge.summary", nickname=family.nickname)
    text = family_plain(whole, words, name_of)
    for name, content in (("summary.pdf", document), ("summary.txt", text.encode())):
        await desk.tell_therapist(
            therapist,
            caption if name.endswith(".pdf") else "",
            attachment=Attachment("document", name, content=content),
        )


async def _digest(desk: Desk, family: Family, since: datetime) -> FamilyDigest:
    return digest_of(await facts_between(desk.conn, family, desk.now, from_at=since, to_at=desk.now))


async def pressed_back(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Take a discharge back: reminders go on with the plan as it stands."""
    family = await own_family(desk, incoming, therapist, argument)
    if family is None or family.state != "discharged":
        return
    await people.change_family(desk.conn, family.id, state="active", discharged_at=None, plan_at=desk.now)
    words = words_for(therapist.language)
    await edit_pressed(desk, incoming, words("discharge.taken_back", nickname=family.nickname))
    await _say_to_family(desk, family, "discharge.on_again", therapist)
    await _note(desk, family, therapist, "discharge taken back")
    await caseload.pressed_card(desk, incoming, therapist, family.id)


async def _note(desk: Desk, family: Family, therapist: Therapist, what: str) -> None:
    await audit.note(desk.conn, who=f"therapist:{therapist.id}", what=what, now=desk.now, family_id=family.id)
