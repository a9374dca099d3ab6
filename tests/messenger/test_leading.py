"""Who leads has a name of its own, on whatever machine; only who surely runs no more is taken over from at once."""

from __future__ import annotations

import asyncio
import os
import subprocess
import sys

import pytest
from sqlalchemy import String

from bot.clock import real_seconds
from bot.messenger import leading
from bot.settings import load_settings
from bot.storage.store import Store
from bot.storage.tables import leases
from demo.messaging import Fault
from tests.conftest import BOTH
from tests.messenger.conftest import MUM, Edge

HANGING = 30.0  # seconds; far longer than the test


@BOTH
async def test_a_host_of_any_name_can_lead(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("socket.gethostname", lambda: "h" * 63)
    leading._machine.cache_clear()
    holder = leading.new_holder()
    leading._machine.cache_clear()
    with store.write() as uow:
        assert uow.leases.hold("lead", holder, real_now=real_seconds(), seconds=8)
        assert uow.leases.holder_of("lead") == holder

    kind = leases.c.holder.type
    assert isinstance(kind, String)
    assert len(holder) <= (kind.length or 0)


def test_a_process_that_ended_here_is_dead_and_a_live_one_is_not() -> None:
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    machine = leading.new_holder().split(":")[0]

    assert leading._dead(f"{machine}:{ended.pid}:1") == f"{machine}:{ended.pid}:1"
    assert leading._dead(f"{machine}:{os.getppid()}:1") is None
    assert leading._dead(leading.new_holder()) is None


def test_a_process_number_of_another_space_says_nothing_of_who_is_dead(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Two containers of one host name: the number that is free here may be a process that leads there."""
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    monkeypatch.setattr(os, "readlink", lambda _path: "pid:[42]")
    leading._machine.cache_clear()
    elsewhere = leading.new_holder().split(":")[0]
    monkeypatch.undo()
    leading._machine.cache_clear()

    assert leading._dead(f"{elsewhere}:{ended.pid}:1") is None


async def test_who_takes_the_lead_reads_and_answers_before_the_menus_are_set(
    clinic: Edge, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A clinic of many therapists has as many menus, each a call to the service."""
    monkeypatch.setenv("UNDERWING_TOKEN", clinic.server.token)
    clinic.server.faults.add(Fault("delay", method="setMyCommands", count=None, seconds=HANGING))
    clinic.server.people[MUM].say("/help")
    stopping = asyncio.Event()
    leader = leading.Leader(clinic.parts, load_settings())
    running = [asyncio.create_task(each.run(stopping)) for each in (leader, clinic.parts.handler)]
    try:
        message = await clinic.server.people[MUM].next_message(timeout=HANGING / 3)
    finally:
        stopping.set()
        await asyncio.gather(*running)

    assert "/today" in message.text
