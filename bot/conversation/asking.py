"""Questions and answers between a carer and the therapist, carried by the bot so that threads stay together."""

from __future__ import annotations

from typing import Literal

from bot.conversation import therapist_words
from bot.conversation.desk import Talk
from bot.phrases import words_for
from bot.records import log, outbox, people, worries
from bot.replies.reading import Reading
from bot.say import Attachment, Button, row


async def forward(
    talk: Talk, message_id: int, kind: Literal["question", "contact", "teachback"], activity: str | None
) -> None:
    """Carry a question to the therapist in the carer's own words, and say that it was."""
    question_id = await worries.add_question(
        talk.conn,
        family_id=talk.family.id,
        carer_id=talk.carer.id,
        message_id=message_id,
        kind=kind,
        activity=activity,
        text=talk.incoming.text,
        at=talk.now,
    )
    therapist = await talk.therapist()
    words = words_for(therapist.language)
    said = await talk.desk.tell_therapist(
        therapist,
        therapist_words.question_text(talk, kind, activity, words),
        about=f"question:{question_id}",
        buttons=(row(Button(words.plain("therapist.answer_button"), f"reply:{question_id}")),),
    )
    if said is not None:
        await worries.change_question(talk.conn, question_id, told_at=talk.now)
    clinic = talk.desk.clinic
    if kind == "contact":
        text = talk.words(
            "ask.contact_passed", therapist=therapist.name, emergency_line=clinic.emergency_line
        )
    else:
        text = talk.words("ask.passed_on", therapist=therapist.name)
    await talk.answer(text, about=f"question:{question_id}")


async def belongs_to_thread(talk: Talk, message_id: int, quoted: outbox.Said, reading: Reading) -> bool:
    """A reply to the therapist's answer goes back to the therapist."""
    if quoted.about is None:
        return False
    what, _, argument = quoted.about.partition(":")
    if what == "answer":
        await forward(talk, message_id, "question", None)
        return True
    if what == "card" and reading.request is None and not reading.entries and reading.concern is None:
        await forward(talk, message_id, "question", argument)
        return True
    return False


async def pressed_ask(talk: Talk, argument: str) -> None:
    """A follow-up question about a card: the next message goes to the therapist with the card named."""
    await people.set_step(talk.conn, talk.chat_id, "question", activity=argument)
    await talk.note()
    await talk.answer(
        talk.words(
            "ask.write_it", therapist=(await talk.therapist()).name, activity=talk.activity_name(argument)
        )
    )


async def received_file(talk: Talk) -> None:
    """A photo, clip, voice note or document: kept, and passed to the therapist, since the bot cannot look or listen."""
    incoming = talk.incoming
    assert incoming.message_id is not None
    known = await log.message_in_chat(talk.conn, talk.chat_id, incoming.message_id)
    if known is not None:
        return
    if not incoming.text:
        await log.keep_message(
            talk.conn,
            chat_id=talk.chat_id,
            message_id=incoming.message_id,
            kind=incoming.what,
            text="",
            at=incoming.at,
            family_id=talk.family.id,
            carer_id=talk.carer.id,
            file_id=incoming.file_id,
        )
    therapist = await talk.therapist()
    words = words_for(therapist.language)
    kinds: dict[str, Literal["picture", "video", "voice", "document"]] = {
        "photo": "picture",
        "video": "video",
        "voice": "voice",
    }
    await talk.desk.tell_therapist(
        therapist,
        words(
            "therapist.file_from", carer=talk.carer.name, nickname=talk.family.nickname, text=incoming.text
        ),
        attachment=Attachment(kinds.get(incoming.what, "document"), incoming.what, file_id=incoming.file_id),
        about=f"family:{talk.family.id}/{talk.carer.id}",
    )
    clinic = talk.desk.clinic
    if not incoming.text:
        key = "ask.voice_passed_on" if incoming.what == "voice" else "ask.file_passed_on"
        await talk.answer(talk.words(key, therapist=therapist.name, emergency_line=clinic.emergency_line))
