"""What else the digest tells: who came and went, reminders that became fewer, a silence, pauses without an end."""

from __future__ import annotations

import copy
from collections.abc import AsyncIterator
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from cryptography.fernet import Fernet

from bot.activities.library import load_library
from bot.digest.facts import FamilyFacts
from bot.digest.week import digest_of
from bot.digest.wording import wording_for
from bot.domain.actor import Actor
from bot.domain.ids import CarerId, FamilyId, TherapistId
from bot.phrases import words_for
from bot.storage import import_caseload, migrate
from bot.storage.caseload_file import caseload_from
from bot.storage.encryption import Encryption
from bot.storage.reports.facts import facts_between, facts_of
from bot.storage.store import Store
from bot.storage.unit_of_work import UnitOfWork
from tests.journeys.conftest import CASELOAD, MONDAY


@pytest.fixture
async def uow(tmp_path: Path) -> AsyncIterator[UnitOfWork]:
    store = Store.open(f"sqlite:///{tmp_path / 'notes.db'}", Encryption(Fernet.generate_key().decode()))
    migrate.upgrade(store)
    with store.write() as uow:
        import_caseload.load(
            uow, caseload_from(copy.deepcopy(CASELOAD), list(load_library()), where="test"), MONDAY
        )
        yield uow
    store.close()


def at(day: int, hour: int = 12) -> datetime:
    return (MONDAY + timedelta(days=day)).replace(hour=hour)


async def week(uow: UnitOfWork) -> FamilyFacts:
    family = uow.families.find(FamilyId("f1"))
    assert family is not None
    return facts_of(uow, family, at(7), last=date(2026, 3, 8), days=7)


async def told(uow: UnitOfWork, language: str = "en") -> list[str]:
    digest = digest_of(await week(uow))
    wording = wording_for(digest, words_for(language), str)
    return [wording.note(note) for note in digest.notes]


async def test_who_joined_and_who_left_is_told_by_name(uow: UnitOfWork) -> None:
    uow.audit.note(who=Actor.carer(CarerId("c2")), what="consented", now=at(1), family_id=FamilyId("f1"))
    uow.audit.note(who=Actor.carer(CarerId("c1")), what="left", now=at(2), family_id=FamilyId("f1"))
    uow.audit.note(
        who=Actor.therapist(TherapistId("t1")), what="family page seen", now=at(2), family_id=FamilyId("f1")
    )
    uow.audit.note(who=Actor.carer(CarerId("c1")), what="consented", now=at(9), family_id=FamilyId("f1"))

    assert await told(uow) == ["Grandpa joined.", "Mum left the chat."]
    assert await told(uow, "es") == ["Grandpa se unió.", "Mum dejó el chat."]


async def test_steps_of_the_reminders_a_day_are_one_note_from_first_to_last(uow: UnitOfWork) -> None:
    uow.notes.add_frequency(FamilyId("f1"), at(1), before=6, after=5, asked=False)
    uow.notes.add_frequency(FamilyId("f1"), at(2), before=5, after=3, asked=False)
    uow.notes.add_inactivity(FamilyId("f1"), at(3), days=5)

    assert await told(uow) == [
        "Reminders a day 6 → 3, as few were answered.",
        "No messages for 5 days. I told you then.",
    ]


async def test_a_note_stands_in_the_json_with_its_kind_and_numbers(uow: UnitOfWork) -> None:
    uow.notes.add_frequency(FamilyId("f1"), at(1), before=6, after=4, asked=True)

    assert digest_of(await week(uow)).as_json()["notes"] == [
        {"at": "2026-03-03T12:00:00-04:00", "kind": "load_asked", "text": None, "before": 6, "after": 4}
    ]


async def test_days_in_a_pause_are_paused_and_those_after_its_end_silent(uow: UnitOfWork) -> None:
    uow.notes.add_pause(FamilyId("f1"), at(1, 7), until=at(3, 7))

    states = [state for _, state in digest_of(await week(uow)).days]
    assert states == ["silent", "paused", "paused", "silent", "silent", "silent", "silent"]


async def test_a_pause_without_an_end_lasts_until_it_is_ended_by_word(uow: UnitOfWork) -> None:
    uow.notes.add_pause(FamilyId("f1"), at(1, 7), until=None)
    assert [state for _, state in digest_of(await week(uow)).days] == ["silent", *["paused"] * 6]

    uow.notes.add_resume(FamilyId("f1"), at(4, 7))
    states = [state for _, state in digest_of(await week(uow)).days]
    assert states == ["silent", "paused", "paused", "paused", "silent", "silent", "silent"]


async def test_an_afternoon_pause_does_not_make_the_day_a_paused_one(uow: UnitOfWork) -> None:
    uow.notes.add_pause(FamilyId("f1"), at(1, 16), until=at(1, 23))

    assert digest_of(await week(uow)).days[1][1] == "silent"


async def test_a_digests_period_tells_only_what_happened_in_it(uow: UnitOfWork) -> None:
    family = uow.families.find(FamilyId("f1"))
    assert family is not None
    uow.notes.add_inactivity(FamilyId("f1"), at(6, 18), days=5)
    before = facts_between(uow, family, at(7), from_at=at(0), to_at=at(6, 18))
    after = facts_between(uow, family, at(14), from_at=at(6, 18), to_at=at(13, 18))

    assert [len(facts.notes) for facts in (before, after)] == [0, 1]
