"""How many SQL statements a carer's message costs: what is needed is loaded once."""

from __future__ import annotations

import pytest

from bot.messenger import handler
from tests.journeys.conftest import House
from tests.storage.listening import statements

A_REPLY = 20  # its savepoint included
# Begin, look for what waits (two queries each time, at most twice: the last look finds nothing), mark as done.
A_COMMIT = 6


async def handle(house: House, *texts: str) -> list[str]:
    for text in texts:
        house.mum.say(text)
    await house.rehearsal.parts.intake.poll_once(0)
    with statements(house.store.engine) as seen:
        handled = await house.rehearsal.parts.handler.handle_waiting()
    assert handled == len(texts)
    return seen


def of_a_savepoint(seen: list[str]) -> list[str]:
    """What a single update's work costs, its savepoint's own two statements included."""
    start = next(at for at, each in enumerate(seen) if each.startswith("SAVEPOINT"))
    end = next(at for at, each in enumerate(seen) if each.startswith("RELEASE"))
    return seen[start : end + 1]


async def test_an_answer_to_a_reminder_costs_at_most_twenty_statements(house: House) -> None:
    await house.to_first_reminder()

    seen = await handle(house, "12 min, turned right twice")

    reply = of_a_savepoint(seen)
    assert len(reply) <= A_REPLY, "\n".join(reply)
    assert len(seen) - len(reply) <= A_COMMIT, "\n".join(seen)


async def test_replies_that_wait_together_share_a_commit(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(handler, "LONGEST_BATCH", 60.0)
    await house.to_first_reminder()

    seen = await handle(house, "12 min, turned right twice", "football hold 5 left", "thanks")

    assert sum(each.startswith("BEGIN") for each in seen) == 1
    assert sum(each.startswith("SAVEPOINT") for each in seen) == 3
    assert len(seen) <= 3 * A_REPLY + A_COMMIT + 3
