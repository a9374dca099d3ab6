"""What `underwing check` says of therapists who cannot be reached and of concerns that nobody has seen."""

from __future__ import annotations

import asyncio
from datetime import date, timedelta
from pathlib import Path

import pytest
from cryptography.fernet import Fernet
from typer.testing import CliRunner

from bot.clock import RealClock
from bot.commands.all import app
from bot.concerns.finding import Urgency
from bot.domain.ids import CarerId, ChatId
from bot.storage import migrate, registration
from bot.storage.encryption import Encryption
from bot.storage.store import Store

KEY = Fernet.generate_key().decode()


async def _fill(url: str) -> None:
    now = RealClock().now()
    store = Store.open(url, Encryption(KEY))
    migrate.upgrade(store)
    with store.write() as uow:
        registration.add_clinic(
            uow, name="Harbour Arm Clinic", time_zone="America/Halifax", emergency_line="1", nurse_line="2"
        )
        therapist_id = registration.add_therapist(uow, name="Robin", language="en")
        uow.therapists.seat(therapist_id, ChatId(9001), now)
        plan = registration.empty_plan(
            nickname="Ada", born=date(2026, 1, 3), gestation_weeks=38, affected_side="left", time_zone="Europe/Madrid"
        )  # fmt: skip
        family_id = registration.add_family(uow, therapist_id=therapist_id, plan=plan, now=now)
        heard: tuple[tuple[Urgency, int], ...] = (("act_now", 5), ("same_day", 3), ("tell_therapist", 50))
        for urgency, hours in heard:
            uow.concerns.add(
                family_id=family_id,
                carer_id=CarerId("c1"),
                message_id=None,
                urgency=urgency,
                topics=["colour"],
                text="words",
                at=now - timedelta(hours=hours),
            )
        uow.chats.mark_unreachable(ChatId(9001), now)
    store.close()


def test_an_unreachable_therapist_and_worries_long_unseen_are_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    url = f"sqlite:///{tmp_path / 'clinic.db'}"
    monkeypatch.setenv("UNDERWING_DATABASE", url)
    monkeypatch.setenv("UNDERWING_KEY", KEY)
    monkeypatch.delenv("UNDERWING_TOKEN", raising=False)
    asyncio.run(_fill(url))

    result = CliRunner().invoke(app, ["check"])

    assert result.exit_code == 1
    assert "(Robin) has blocked the bot" in result.output
    assert "1 urgent concerns have been seen by no therapist for 4 hours" in result.output
    assert "words" not in result.output
