"""The bot as a process: it starts, serves, stops, and says clearly what is wrong."""

from __future__ import annotations

import asyncio
import signal
from collections.abc import AsyncIterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from demo.messaging import Limits, MessagingServer
from tests.journeys.serving import ServedBot

MORNING = datetime.fromisoformat("2026-03-02T07:30:00-04:00")


@pytest.fixture
async def bot(tmp_path: Path, server: MessagingServer, caseload: dict[str, Any]) -> AsyncIterator[ServedBot]:
    bot = ServedBot(tmp_path, server.base_url, clock=(MORNING, 600))
    await bot.load(caseload)
    yield bot
    if bot.running:
        await bot.kill()


async def test_reminders_come_by_the_rehearsal_clock_and_a_stop_is_clean(
    bot: ServedBot, server: MessagingServer
) -> None:
    mum = server.people.add(5001, "Mum")
    await bot.start()
    reminder = await mum.next_message(timeout=60)
    assert "Pip" in reminder.text
    assert any((button.data or "").startswith("done:") for line in reminder.buttons for button in line)

    mum.press(reminder.labels()[0])
    await server.people.until(lambda: "✓" in mum.message(reminder.message_id).text, timeout=30)
    assert await bot.stop() == 0, bot.log()


async def test_the_second_process_waits_and_takes_over_when_the_first_dies(
    tmp_path: Path, server: MessagingServer, caseload: dict[str, Any]
) -> None:
    mum = server.people.add(5001, "Mum")
    first = ServedBot(tmp_path, server.base_url)
    await first.load(caseload)
    await first.start()
    await server.updates.polled(timeout=60)
    second = await ServedBot(tmp_path, server.base_url).start()
    mum.say("/help")
    await mum.next_message(timeout=30)
    await first.kill()
    mum.say("/help")
    await server.people.until(lambda: len(mum.messages(by_bot=True)) == 2, timeout=60)

    assert await second.stop() == 0, second.log()


async def test_a_stop_while_it_loads_is_one_line_and_no_error(
    tmp_path: Path, server: MessagingServer
) -> None:
    bot = await ServedBot(tmp_path, server.base_url).start()
    while not catches(bot.pid, signal.SIGTERM):  # noqa: ASYNC110 - another process tells no event
        await asyncio.sleep(0.002)

    assert await bot.stop() == 0
    assert bot.log() == "stopped while loading\n"


def catches(pid: int, number: int) -> bool:
    """Whether a process has a handler for a signal, as the system tells."""
    status = Path(f"/proc/{pid}/status").read_text(encoding="ascii")
    caught = next(line for line in status.splitlines() if line.startswith("SigCgt"))
    return bool(int(caught.split()[1], 16) >> (number - 1) & 1)


async def test_the_service_may_be_away_when_the_bot_starts(
    tmp_path: Path, server: MessagingServer, caseload: dict[str, Any]
) -> None:
    mum = server.people.add(5001, "Mum")
    bot = ServedBot(tmp_path, server.base_url)
    await bot.load(caseload)
    await server.go_down()
    await bot.start()
    await asyncio.sleep(1.5)
    assert bot.running
    await server.come_back()
    mum.say("/help")
    await mum.next_message(timeout=60)

    assert await bot.stop() == 0


async def test_a_webhook_serves_as_well_as_polling(
    tmp_path: Path, caseload: dict[str, Any], unused_tcp_port: int
) -> None:
    async with MessagingServer(limits=Limits.off(), webhook_pause_scale=0.05) as server:
        mum = server.people.add(5001, "Mum")
        here = f"127.0.0.1:{unused_tcp_port}"
        settings = {
            "UNDERWING_WEBHOOK_URL": f"http://{here}",
            "UNDERWING_WEBHOOK_SECRET": "s-1",
            "UNDERWING_LISTEN": here,
        }
        bot = ServedBot(tmp_path, server.base_url, settings=settings)
        await bot.load(caseload)
        await bot.start()
        mum.say("/help")
        answer = await mum.next_message(timeout=60)

        assert "/today" in answer.text
        assert await bot.stop() == 0, bot.log()


async def test_a_token_that_is_refused_ends_it_in_one_line_without_a_traceback(
    tmp_path: Path, server: MessagingServer
) -> None:
    bot = ServedBot(tmp_path, server.base_url)
    bot.environment["UNDERWING_TOKEN"] = "1000:wrong"
    status, _, errors = await bot.command("serve")

    assert status == 1
    assert "refuses UNDERWING_TOKEN" in errors
    assert len(errors.strip().splitlines()) == 1
