"""The messaging library's own polling loop, to measure beside: python -m tests.benchmarks.library_loop BASE_URL TOKEN COUNT ANSWER.

Handles COUNT messages with a handler that does nothing (ANSWER "no") or answers one fixed line ("yes"), prints the
processor seconds that these took, and ends.
"""

from __future__ import annotations

import asyncio
import sys
import time

from telegram import Update
from telegram.ext import Application, ContextTypes, MessageHandler, filters


async def run(base_url: str, token: str, count: int, *, answers: bool) -> None:
    handled, all_handled = 0, asyncio.Event()
    began = 0.0

    async def handle(update: Update, context: ContextTypes.DEFAULT_TYPE) -> None:
        nonlocal handled, began
        began = began or time.process_time()
        if answers and update.message is not None:
            await update.message.reply_text("Counted.")
        handled += 1
        if handled == count:
            all_handled.set()

    app = Application.builder().token(token).base_url(base_url).build()
    app.add_handler(MessageHandler(filters.ALL, handle))
    async with app:
        await app.start()
        assert app.updater is not None
        await app.updater.start_polling()
        await all_handled.wait()
        print(time.process_time() - began, flush=True)
        await app.updater.stop()
        await app.stop()


if __name__ == "__main__":
    url, bot_token, wanted, answer = sys.argv[1:]
    asyncio.run(run(url, bot_token, int(wanted), answers=answer == "yes"))
