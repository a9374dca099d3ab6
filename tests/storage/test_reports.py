"""The facts of many families: as many statements as for one, and the same facts."""

from __future__ import annotations

import copy
from datetime import timedelta
from typing import Any

import pytest

from bot.activities.library import load_library
from bot.domain.ids import ChatId, FamilyId, TherapistId
from bot.parsing.period import Dates, Instants
from bot.storage import import_caseload, tables
from bot.storage.caseload_file import caseload_from
from bot.storage.reports.facts import facts_in, facts_of_families
from bot.storage.store import Store
from bot.storage.unit_of_work import UnitOfWork
from tests.conftest import BOTH
from tests.journeys.conftest import CASELOAD, MONDAY
from tests.storage.listening import statements

MOST_STATEMENTS = 15
NOON = MONDAY.replace(hour=12)
WEEK = Instants(MONDAY - timedelta(days=2), MONDAY + timedelta(days=5))
SPANS = [WEEK, Dates(MONDAY.date(), MONDAY.date() + timedelta(days=6))]


def many(families: int) -> dict[str, Any]:
    """A caseload of one therapist; every third family lives in another zone."""
    caseload = copy.deepcopy(CASELOAD)
    first = caseload["families"][0]
    caseload["families"] = []
    for number in range(families):
        family = copy.deepcopy(first)
        family["id"] = f"g{number:02d}"
        family["plan"]["baby"]["nickname"] = f"Baby {number:02d}"
        if number % 3 == 1:
            family["plan"]["time_zone"] = "America/Vancouver"
        for carer in family["carers"]:
            carer["chat_id"] += 100 * number
        caseload["families"].append(family)
    return caseload


def lived(store: Store, families: int) -> None:
    """Load families and let each of them live a little: of every table that a digest reads, at least one row."""
    with store.write() as uow:
        import_caseload.load(uow, caseload_from(many(families), list(load_library()), where="test"), MONDAY)
        for number in range(families):
            carer: dict[str, Any] = {"family_id": f"g{number:02d}", "carer_id": "c1"}
            family_id = f"g{number:02d}"
            chat_id = 5001 + 100 * number
            said = uow.messages.keep(
                chat_id=ChatId(chat_id), message_id=1, kind="text", text="qqq", at=NOON, **carer
            )
            live_one(uow, family_id, said, number)


def live_one(uow: UnitOfWork, family_id: str, said: int, number: int) -> None:
    told = {"family_id": family_id, "carer_id": "c1", "message_id": said, "at": NOON}
    insert = [
        (tables.sessions, told | {"activity": "tummy_time", "minutes": 5.0 + number, "local_date": NOON.date(), "state": "counted", "logged_at": NOON}),
        (tables.observations, told | {"kind": "head_turn", "side": "right", "activity": "tummy_time"}),
        (tables.skips, told | {"reason": "asleep", "activity": "tummy_time"}),
        (tables.concerns, told | {"urgency": "tell_therapist", "topics": [], "text": f"red spot {number}", "state": "open"}),
        (tables.questions, told | {"kind": "question", "text": f"how long {number}"}),
        (tables.confidences, {"family_id": family_id, "carer_id": "c1", "activity": "tummy_time", "asked_at": NOON, "value": 7, "at": NOON}),
        (tables.reminders, {"family_id": family_id, "activity": "tummy_time", "local_date": NOON.date(), "slot": 99, "minutes": 5.0, "due_at": NOON, "late_after": NOON, "state": "answered", "sent_at": NOON, "closed_at": NOON}),
        (tables.audit, {"family_id": family_id, "at": NOON, "who": f"carer:{family_id}/c1", "what": "consented"}),
        (tables.notes, {"family_id": family_id, "kind": "quiet", "data": {"days": 2}, "at": NOON}),
        (tables.visits, {"family_id": family_id, "at": NOON, "minutes": 30, "note": "splint", "made_by": "t1", "made_at": NOON}),
        (tables.grades, {"family_id": family_id, "scale": "ams", "values": {"elbow_flexion": 3}, "on_date": NOON.date(), "entered_by": "t1", "entered_at": NOON}),
    ]  # fmt: skip
    for table, values in insert:
        uow.conn.execute(table.insert(), [values])


@BOTH
@pytest.mark.parametrize("span", SPANS, ids=["instants", "dates"])
@pytest.mark.parametrize("families", [3, 30])
async def test_facts_of_any_number_of_families_cost_at_most_fifteen_statements(
    store: Store, families: int, span: Instants | Dates
) -> None:
    lived(store, families)
    with store.read() as uow:
        found = uow.families.of_therapist(TherapistId("t1"))
        with statements(store.engine) as asked:
            facts = facts_of_families(uow, found, NOON, span)

    assert [each.family for each in facts] == [f"g{number:02d}" for number in range(families)]
    assert (
        len(asked) <= MOST_STATEMENTS - 4
    )  # a transaction, the clinic and its families are read beside them


@BOTH
@pytest.mark.parametrize("span", SPANS, ids=["instants", "dates"])
async def test_each_family_has_its_own_facts_whoever_is_read_beside_it(
    store: Store, span: Instants | Dates
) -> None:
    lived(store, 4)
    with store.read() as uow:
        found = uow.families.of_therapist(TherapistId("t1"))
        together = facts_of_families(uow, found, NOON, span)
        alone = [facts_in(uow, family, NOON, span) for family in found]

    assert together == alone
    for number, facts in enumerate(together):
        assert [each.minutes for each in facts.sessions] == [5.0 + number]
        assert [each.text for each in facts.concerns] == [f"red spot {number}"]
        assert [each.text for each in facts.questions] == [f"how long {number}"]
        assert len(facts.observations) == len(facts.skips) == len(facts.confidence) == 1
        assert len(facts.prompts) == len(facts.visits) == len(facts.grades) == 1
        assert {note.kind for note in facts.notes} == {"joined", "quiet", "visit_note"}


async def test_the_same_words_of_a_message_are_told_once(store: Store) -> None:
    lived(store, 1)
    told = {"family_id": "g00", "carer_id": "c1", "message_id": 1, "at": NOON, "kind": "question"}
    with store.write() as uow:
        for text in ("red spot 0", "how long 0"):
            uow.conn.execute(tables.questions.insert(), [told | {"text": text, "answered_at": NOON}])
        uow.conn.execute(tables.messages.update().values(unread="long 0"))
        family = uow.families.find(FamilyId("g00"))
        assert family is not None
        facts = facts_in(uow, family, NOON, WEEK)

    assert [(each.text, each.answered_at is None) for each in facts.concerns] == [("red spot 0", False)]
    assert [each.text for each in facts.questions] == ["how long 0"]
    assert facts.unread == ()


async def test_no_family_costs_no_statement(store: Store) -> None:
    with store.read() as uow, statements(store.engine) as asked:
        assert facts_of_families(uow, [], NOON, WEEK) == []

    assert asked == []
