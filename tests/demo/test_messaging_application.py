"""A whole application of the unmodified library at the local server, polling as it does by itself."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest
from telegram import InlineKeyboardButton, InlineKeyboardMarkup, Update
from telegram.ext import (
    Application,
    CallbackQueryHandler,
    CommandHandler,
    ContextTypes,
    MessageHandler,
    filters,
)

from demo.messaging import MessagingServer, Person

Context = ContextTypes.DEFAULT_TYPE


async def begin(update: Update, context: Context) -> None:
    assert update.message is not None
    keys = InlineKeyboardMarkup([[InlineKeyboardButton("Done", callback_data="done")]])
    await update.message.reply_html(f"<b>Hello</b> {(context.args or ['nobody'])[0]}", reply_markup=keys)


async def repeat(update: Update, context: Context) -> None:
    assert update.message is not None
    await update.message.reply_text(f"You said {update.message.text}")


async def pressed(update: Update, context: Context) -> None:
    assert update.callback_query is not None
    await update.callback_query.answer("Noted")
    await update.callback_query.edit_message_text("Done.")


@pytest.fixture
async def running(server: MessagingServer) -> AsyncIterator[None]:
    application = Application.builder().token(server.token).base_url(server.base_url).build()
    application.add_handler(CommandHandler("start", begin))
    application.add_handler(CallbackQueryHandler(pressed))
    application.add_handler(MessageHandler(filters.TEXT, repeat))
    async with application:
        assert application.updater is not None
        await application.updater.start_polling()
        await application.start()
        yield
        await application.updater.stop()
        await application.stop()


@pytest.mark.usefixtures("running")
async def test_a_conversation_runs_from_an_invitation_to_a_pressed_button(
    server: MessagingServer, sam: Person
) -> None:
    sam.open_invitation("fam1")
    greeting = await sam.next_message()
    sam.press("Done")
    await server.people.until(lambda: sam.message(greeting.message_id).text == "Done.")
    last = sam.say("ten minutes")
    answer = await sam.next_message(after=last)

    assert greeting.html == "<b>Hello</b> fam1"
    assert [toast["text"] for toast in sam.toasts] == ["Noted"]
    assert answer.text == "You said ten minutes"
