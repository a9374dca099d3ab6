"""What becomes of a message when the service or the network misbehaves, told from the server's side."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot.domain.ids import ChatId, OutboxId
from bot.domain.outgoing import Attachment, Button, Kind, MessageEdit, OutgoingMessage, PressAnswer
from demo.messaging import Fault
from tests.messenger.conftest import NOW, Edge

WORDS = "Pip: tummy time, 10 min."


def texts(edge: Edge) -> list[str]:
    return [message.text for message in edge.sam.messages(by_bot=True)]


async def test_a_reminder_of_unknown_outcome_is_not_sent_again(edge: Edge) -> None:
    edge.server.faults.add(Fault("lost_after", method="sendMessage"))
    row_id = await edge.say(OutgoingMessage(chat_id=ChatId(5), text=WORDS, kind="reminder"))
    await edge.send()
    await edge.now_again()
    await edge.send()

    assert texts(edge) == [WORDS]
    assert (await edge.state(row_id))[0] == "unknown"


@pytest.mark.parametrize("kind", ["concern", "digest"])
async def test_a_concern_or_digest_of_unknown_outcome_is_repeated_and_says_so(edge: Edge, kind: Kind) -> None:
    edge.server.faults.add(Fault("lost_after", method="sendMessage"))
    row_id = await edge.say(OutgoingMessage(chat_id=ChatId(5), text=WORDS, kind=kind))
    await edge.send()
    await edge.now_again()
    await edge.send()

    first, second = texts(edge)
    assert first == WORDS
    assert second.endswith(WORDS)
    assert "already" in second
    assert (await edge.state(row_id))[0] == "sent"


@pytest.mark.parametrize("kind", ["concern", "reply", "reminder", "digest"])
async def test_what_was_surely_not_sent_goes_again(edge: Edge, kind: Kind) -> None:
    row_id = await edge.say(OutgoingMessage(chat_id=ChatId(5), text=WORDS, kind=kind))
    await edge.server.go_down()
    await edge.send()
    assert (await edge.state(row_id))[0] == "waiting"
    await edge.server.come_back()
    await edge.now_again()
    await edge.send()

    assert texts(edge) == [WORDS]


async def test_a_429_holds_the_chat_for_as_long_as_asked_and_then_sends(edge: Edge) -> None:
    edge.server.faults.add(Fault("too_many_requests", method="sendMessage", seconds=9))
    row_id = await edge.say(OutgoingMessage(chat_id=ChatId(5), text=WORDS, kind="reminder"))
    await edge.send()
    await edge.send()
    assert texts(edge) == []
    assert (await edge.state(row_id))[0] == "waiting"
    await edge.now_again()
    await edge.send()

    assert texts(edge) == [WORDS]


async def test_a_server_error_leaves_a_reminder_unsaid_and_a_reply_repeated(edge: Edge) -> None:
    edge.server.faults.add(Fault("server_error", method="sendMessage", count=2))
    reminder = await edge.say(OutgoingMessage(chat_id=ChatId(5), text="reminder", kind="reminder"))
    await edge.send()
    reply = await edge.say(OutgoingMessage(chat_id=ChatId(5), text="reply", kind="reply"))
    await edge.send()
    await edge.now_again()
    await edge.send()

    assert texts(edge) == ["reply"]
    assert [(await edge.state(row))[0] for row in (reminder, reply)] == ["unknown", "sent"]


async def test_a_blocked_bot_gives_up_and_notes_the_chat(edge: Edge) -> None:
    edge.sam.block()
    row_id = await edge.say(OutgoingMessage(chat_id=ChatId(5), text=WORDS, kind="reminder"))
    await edge.send()

    assert (await edge.state(row_id))[0] == "failed"


async def test_an_edit_that_changes_nothing_is_a_success(edge: Edge) -> None:
    first = await edge.say(OutgoingMessage(chat_id=ChatId(5), text="same"))
    await edge.send()
    edit = await edge.say(MessageEdit(chat_id=ChatId(5), text="same", edits=OutboxId(first)))
    await edge.send()

    assert (await edge.state(edit))[0] == "sent"


async def test_an_edit_of_a_message_that_was_never_sent_is_given_up(edge: Edge) -> None:
    edge.sam.block()
    first = await edge.say(OutgoingMessage(chat_id=ChatId(5), text="never"))
    await edge.send()
    edge.sam.unblock()
    edit = await edge.say(MessageEdit(chat_id=ChatId(5), text="changed", edits=OutboxId(first)))
    await edge.send()

    assert (await edge.state(edit))[0] == "failed"


async def test_a_press_older_than_its_answer_is_settled_without_fuss(edge: Edge) -> None:
    await edge.say(OutgoingMessage(chat_id=ChatId(5), text=WORDS, buttons=((Button("Done", "done:1"),),)))
    await edge.send()
    query = edge.sam.press("Done", too_old=True)
    row_id = await edge.say(PressAnswer(chat_id=ChatId(5), press=query, text="Counted."))
    await edge.send()

    assert (await edge.state(row_id))[0] == "sent"


async def test_what_is_too_late_is_not_sent(edge: Edge) -> None:
    row_id = await edge.say(
        OutgoingMessage(chat_id=ChatId(5), text=WORDS, kind="reminder", expires_at=NOW - timedelta(minutes=1))
    )
    await edge.send()

    assert texts(edge) == []
    assert (await edge.state(row_id))[0] == "failed"


async def test_messages_of_one_chat_keep_their_order(edge: Edge) -> None:
    for number in range(12):
        await edge.say(OutgoingMessage(chat_id=ChatId(5), text=str(number)))
    while not await edge.parts.sender.idle():
        await edge.send()

    assert texts(edge) == [str(number) for number in range(12)]


async def test_broken_markup_is_refused_for_good_and_holds_nothing_back(edge: Edge) -> None:
    broken = await edge.say(OutgoingMessage(chat_id=ChatId(5), text="<b>open"))
    await edge.send()
    await edge.say(OutgoingMessage(chat_id=ChatId(5), text="next"))
    await edge.send()

    assert (await edge.state(broken))[0] == "failed"
    assert texts(edge) == ["next"]


async def test_a_document_arrives_whole(edge: Edge) -> None:
    content = bytes(range(256)) * 40
    await edge.say(
        OutgoingMessage(
            chat_id=ChatId(5), text="Here", attachment=Attachment("document", "digest.pdf", content=content)
        )
    )
    await edge.send()
    message = edge.sam.messages(by_bot=True)[0]

    assert (message.kind, message.text) == ("document", "Here")
    file = await edge.parts.bot.get_file(message.file_id or "")
    assert bytes(await file.download_as_bytearray()) == content


async def test_a_group_that_moved_is_followed_to_its_new_id(edge: Edge) -> None:
    group = edge.server.people.add_group(-77, "Family", [edge.sam])
    group.add_bot(edge.sam.account)
    new_id = group.upgrade(-1000077, edge.sam.account)
    await edge.say(OutgoingMessage(chat_id=ChatId(-77), text=WORDS))
    await edge.send()
    await edge.now_again()
    await edge.send()

    assert [message.text for message in edge.server.people.group(new_id).messages(by_bot=True)] == [WORDS]
