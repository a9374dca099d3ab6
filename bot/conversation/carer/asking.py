"""Questions of a carer to the therapist, carried by the bot so that threads stay together."""

from __future__ import annotations

from typing import Literal

from bot.conversation.desk import Desk, Talk
from bot.conversation.therapist import covering, therapist_words
from bot.phrases import Words, words_for
from bot.records import log, outbox, people, threads, worries
from bot.records.people import Therapist
from bot.records.worries import QuestionRow
from bot.replies.reading import Reading
from bot.say import Attachment, Button, Buttons, row

FILE_KINDS: dict[str, Literal["picture", "video", "voice", "document"]] = {
    "photo": "picture",
    "video": "video",
    "voice": "voice",
}


async def forward(
    talk: Talk,
    message_id: int,
    kind: Literal["question", "contact", "teachback"],
    activity: str | None,
    *,
    thread: str | None = None,
) -> None:
    """Carry a question to the therapist in the carer's own words, and say that it was.

    thread: what it goes on from ("concern:3", "question:4", "letter:5"); the therapist sees how that began.
    """
    question_id = await worries.add_question(
        talk.conn,
        family_id=talk.family.id,
        carer_id=talk.carer.id,
        message_id=message_id,
        kind=kind,
        activity=activity,
        thread=await _root(talk.desk, thread),
        text=talk.incoming.text,
        at=talk.now,
    )
    told = await tell(talk.desk, question_id)
    clinic, name = talk.desk.clinic, (await talk.therapist()).name
    line = {"emergency_line": clinic.emergency_line}
    if told is None or not told.reachable:
        text = talk.words("ask.kept_for", therapist=name, **line)
    elif kind == "contact":
        text = talk.words("ask.contact_passed", therapist=told.name, **line)
    else:
        text = talk.words("ask.passed_on", therapist=told.name)
    await talk.answer(text, about=f"question:{question_id}")


async def _root(desk: Desk, thread: str | None) -> str | None:
    """Return what a thread began with, where it is itself a message that goes on from something."""
    if thread is not None and thread.startswith("question:"):
        found = await worries.question(desk.conn, int(thread.removeprefix("question:")))
        return found.thread or thread if found else None
    return thread


async def tell(desk: Desk, question_id: int) -> Therapist | None:
    """Tell a question to the therapist and who covers for them; return the first who was told."""
    found = await worries.question(desk.conn, question_id)
    family = await people.family(desk.conn, found.family_id) if found else None
    if found is None or family is None:
        return None
    told = None
    for therapist in await covering.listeners(desk, family.therapist_id):
        words = words_for(therapist.language)
        said = await desk.tell_therapist(
            therapist,
            await therapist_words.question_text(desk, found, family, words),
            about=found.about,
            buttons=answer_buttons(found, words),
            reply_to=await _told_before_as(desk, found, therapist),
        )
        if said is not None and (told is None or not told.reachable):
            told = therapist
    if told is not None:
        await worries.change_question(desk.conn, question_id, told_at=desk.now)
    return told


def answer_buttons(found: QuestionRow, words: Words) -> Buttons:
    return (row(Button(words.plain("therapist.answer_button"), f"reply:{found.id}")),)


async def _told_before_as(desk: Desk, found: QuestionRow, therapist: Therapist) -> int | None:
    """Return the message of this therapist's chat that began the thread, to be shown above."""
    if found.thread is None or therapist.chat_id is None:
        return None
    if found.thread.startswith("letter:"):
        letter = await threads.answer(desk.conn, int(found.thread.removeprefix("letter:")))
        return letter.message_id if letter and letter.therapist_id == therapist.id else None
    said = await outbox.said_in(desk.conn, found.thread, therapist.chat_id)
    return said[-1].message_id if said else None


async def tell_waiting(desk: Desk) -> None:
    """Tell questions that came while their therapist had no chat yet."""
    for found in await worries.untold_questions(desk.conn):
        await tell(desk, found.id)


async def belongs_to_thread(talk: Talk, message_id: int, quoted: outbox.Said, reading: Reading) -> bool:
    """A reply to the therapist's answer, or to what we said of a worry or question, goes to the therapist."""
    if quoted.about is None:
        return False
    what, _, argument = quoted.about.partition(":")
    if what == "answer":
        await forward(talk, message_id, "question", None, thread=argument)
        return True
    if reading.request is not None or reading.entries or reading.concern is not None:
        return False
    if what == "card":
        await forward(talk, message_id, "question", argument)
        return True
    if what == "plan":
        await forward(talk, message_id, "question", None)
        return True
    if what in ("concern", "question"):
        await forward(talk, message_id, "question", None, thread=quoted.about)
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


async def pressed_back(talk: Talk, argument: str) -> None:
    """ "Write back" under a therapist's answer: the next message goes to the therapist, in the same thread."""
    found = await threads.answer(talk.conn, int(argument)) if argument.isdigit() else None
    if found is None or found.family_id != talk.family.id or found.carer_id != talk.carer.id:
        await talk.note(talk.words("edge.old_button"))
        return
    await people.set_step(talk.conn, talk.chat_id, "question", thread=found.thread)
    await talk.note()
    await talk.answer(talk.words("thread.write_back", therapist=await _name_of(talk, found.therapist_id)))


async def _name_of(talk: Talk, therapist_id: str) -> str:
    found = await people.therapist(talk.conn, therapist_id)
    return found.name if found else (await talk.therapist()).name


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
    for therapist in await covering.listeners(talk.desk, talk.family.therapist_id):
        words = words_for(therapist.language)
        await talk.desk.tell_therapist(
            therapist,
            words(
                "therapist.file_from",
                carer=talk.carer.name,
                nickname=talk.family.nickname,
                text=incoming.text,
            ),
            attachment=Attachment(
                FILE_KINDS.get(incoming.what, "document"), incoming.what, file_id=incoming.file_id
            ),
            about=f"family:{talk.family.id}/{talk.carer.id}",
        )
    clinic = talk.desk.clinic
    if not incoming.text:
        key = "ask.voice_passed_on" if incoming.what == "voice" else "ask.file_passed_on"
        name = (await talk.therapist()).name
        await talk.answer(talk.words(key, therapist=name, emergency_line=clinic.emergency_line))
