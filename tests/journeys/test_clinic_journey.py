"""Grades, visits and papers: the therapist's side, what families hear of it, and what they never do."""

from __future__ import annotations

import io
import json
from datetime import timedelta
from typing import Any

import icalendar
import pytest
from fhir.resources.R4B.bundle import Bundle
from pypdf import PdfReader
from sqlalchemy import select

from bot.domain.actor import Actor
from bot.domain.ids import FamilyId, TherapistId
from bot.storage.tables import grades
from demo.messaging import Person
from tests.journeys.conftest import HALIFAX, House

LINE = "toronto elbow flexion 4, elbow extension 7, wrist extension 3, finger extension 2, thumb extension 0"
TERMS = ("flexion", "toronto", "movement scale", "grade", "of 10", "3.5")


async def say(house: House, who: Person, text: str) -> None:
    who.say(text)
    await house.settle()


async def press(house: House, who: Person, label: str) -> None:
    who.press(label)
    await house.settle()


def file_of(house: House, who: Person, back: int = -1) -> bytes:
    files = [
        message.file_id for message in house.heard(who) if message.kind == "document" and message.file_id
    ]
    return house.server.service.files.get(files[back]).content


def pdf_text(content: bytes) -> str:
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)


async def test_grades_are_read_back_and_stand_in_page_note_and_document(house: House) -> None:
    await say(house, house.robin, f"/grade pip {LINE}")
    assert "elbow flexion: 4" in house.last(house.robin).text
    assert "3.5 of 10" in house.last(house.robin).text

    await say(house, house.robin, "/digest pip")
    assert "3.5 of 10 (usual mark to refer: under 3.5 at 3 months)" in house.last(house.robin).text
    await press(house, house.robin, "Document (PDF)")
    assert "3.5 of 10" in pdf_text(file_of(house, house.robin))
    await say(house, house.robin, "/note pip")
    assert "3.5 of 10" in pdf_text(file_of(house, house.robin))


async def test_a_familys_page_hands_out_its_record_and_its_visits(house: House) -> None:
    await say(house, house.robin, "/visit pip 2026-03-12 10:00 45min")
    await say(house, house.mum, "tummy time 12")
    await say(house, house.robin, "/digest pip")
    await press(house, house.robin, "FHIR")
    record: dict[str, Any] = json.loads(file_of(house, house.robin))
    await say(house, house.robin, "/digest pip")
    await press(house, house.robin, "Visits")
    calendar = file_of(house, house.robin)

    Bundle.model_validate(record)
    logged = [each["resource"].get("valueQuantity", {}).get("value") for each in record["entry"]]
    assert 12 in logged
    assert b"DTSTART" in calendar
    assert b"20260312T" in calendar


async def test_a_score_under_the_mark_says_so_and_names_its_caution(house: House) -> None:
    await say(house, house.robin, "/grade pip toronto elbow flexion 2, elbow extension 6, wrist extension 3, finger extension 2, thumb extension 0")  # fmt: skip

    answer = house.last(house.robin).text
    assert "2.5 of 10, under the usual mark to refer (3.5 at 3 months)" in answer
    assert "The clinic must check it before use" in answer


async def test_a_grade_against_gravity_before_full_range_without_it_is_not_kept(house: House) -> None:
    await say(house, house.robin, "/grade pip ams elbow flexion 3/6")
    assert house.last(house.robin).text.startswith("Not kept")
    # The talk goes on: the line can be written again without the command.
    await say(house, house.robin, "ams elbow flexion 4/6")

    assert "elbow flexion: 6" in house.last(house.robin).text
    with house.store.read() as uow:
        kept = (uow.conn.execute(select(grades))).all()
    assert [row._mapping["values"] for row in kept] == [{"elbow_flexion": 6}]


async def test_grades_can_be_listed_and_taken_back(house: House) -> None:
    await say(house, house.robin, "/grade pip ams elbow flexion 3 on 2026-03-01")
    await say(house, house.robin, "/grade pip ams elbow flexion 5")
    await say(house, house.robin, "/grade")
    assert "elbow flexion 5 (3 before)" in house.last(house.robin).text

    await press(house, house.robin, "Take back AMS 2 Mar")
    await say(house, house.robin, "/grade pip")
    assert "elbow flexion 3" in house.last(house.robin).text


async def test_grades_are_sealed_at_rest(house: House) -> None:
    await say(house, house.robin, f"/grade pip {LINE}")
    with house.store.read() as uow:
        raw = (uow.conn.exec_driver_sql('SELECT "values" FROM grades')).scalar_one()

    assert b"elbow" not in (raw if isinstance(raw, bytes) else str(raw).encode())


async def test_no_family_ever_sees_a_grade(house: House) -> None:
    await say(house, house.robin, f"/grade pip {LINE}")
    await say(house, house.robin, "/handout pip")
    await press(house, house.robin, "Send to the family")
    for word in (
        "/today",
        "/week",
        "/help",
        "/grade pip",
        "/digest",
        "/note pip",
        "/visit pip",
        LINE,
        "toronto?",
    ):
        await say(house, house.mum, word)
    await house.at(18, 5, day=6)

    heard = "\n".join(house.texts(house.mum) + house.texts(house.grandpa)).casefold()
    sheet = pdf_text(file_of(house, house.mum)).casefold()
    assert not [term for term in TERMS if term in heard]
    assert not [term for term in ("flexion", "toronto", "movement scale", "3.5", "weak") if term in sheet]


async def test_a_visit_is_told_to_every_carer_in_their_language_with_a_calendar_file(house: House) -> None:
    await say(house, house.robin, "/visit pip 2026-03-12 10:00 45min look at the splint")

    assert (
        house.last(house.robin).text
        == "Visit set for Pip: Thursday 12 March, 10:00 AM, 45 min. The family was told."
    )
    assert house.last(house.mum).text.startswith(
        "Visit for Pip: Thursday 12 March, 10:00 AM, 45 min, with Robin"
    )
    assert house.last(house.grandpa).text.startswith("Visita para Pip: jueves 12 de marzo, 10:00")
    assert "splint" not in "".join(house.texts(house.mum) + house.texts(house.grandpa))
    event = icalendar.Calendar.from_ical(file_of(house, house.mum)).walk("VEVENT")[0]
    assert event.decoded("DTSTART").astimezone(HALIFAX).isoformat() == "2026-03-12T10:00:00-03:00"
    titles = [e["SUMMARY"] for e in icalendar.Calendar.from_ical(file_of(house, house.robin)).walk("VEVENT")]
    assert titles == ["Visit: Pip", "Weekly digest"]


async def test_a_visit_called_off_is_told_and_leaves_page_and_calendar(house: House) -> None:
    await say(house, house.robin, "/visit pip 2026-03-12 10:00")
    await say(house, house.robin, "/digest pip")
    assert "Visits: Thu 12 Mar, 10:00" in house.last(house.robin).text
    await say(house, house.robin, "/visit")
    await press(house, house.robin, "Call off Pip")

    assert "called off" in house.last(house.mum).text
    event = icalendar.Calendar.from_ical(file_of(house, house.mum)).walk("VEVENT")[0]
    assert (event["STATUS"], event["UID"]) == ("CANCELLED", "visit-1@underwing")
    await say(house, house.robin, "/digest pip")
    assert "Visits" not in house.last(house.robin).text
    await say(house, house.robin, "/visit pip")
    assert house.last(house.robin).text.startswith("No visits are set.")


@pytest.mark.parametrize(
    "when", ["2026-03-01 10:00", "2026-13-01 10:00", "soon", "2026-03-12", "2036-03-12 10:00"]
)
async def test_a_visit_whose_time_is_past_or_unclear_is_asked_again(house: House, when: str) -> None:
    before = len(house.heard(house.mum))
    await say(house, house.robin, f"/visit pip {when}")

    assert house.last(house.robin).text.startswith("Write the name, day, time and length")
    assert len(house.heard(house.mum)) == before


async def test_the_fridge_sheet_goes_to_each_carer_in_their_language_once(house: House) -> None:
    await say(house, house.robin, "/handout pip")
    sheets = [m for m in house.heard(house.robin) if m.kind == "document"]
    assert len(sheets) == 2
    assert sheets[-1].text == "Reviewed by a licensed therapist: none of these yet."
    await press(house, house.robin, "Send to the family")
    await press(house, house.robin, "Send to the family")

    assert "Football hold" in pdf_text(file_of(house, house.mum))
    assert "De lado, como balón" in pdf_text(file_of(house, house.grandpa))
    assert len([m for m in house.heard(house.mum) if m.kind == "document"]) == 1


async def test_a_pause_is_told_as_a_pause_and_not_as_silence(house: House) -> None:
    await house.to_first_reminder()
    await say(house, house.mum, "10 min")
    await house.at(6, day=1)
    with house.store.write() as uow:
        until = house.clock.now() + timedelta(days=1)
        uow.notes.add_pause(FamilyId("f1"), house.clock.now(), until=until)
    await house.at(6, day=3)
    await say(house, house.robin, "/digest pip 2026-03-02 2026-03-04")

    assert "1 day paused" in house.last(house.robin).text


async def test_a_new_plan_is_told_by_what_changed(house: House, caseload: dict[str, Any]) -> None:
    await house.at(12)
    with house.store.write() as uow:
        version = uow.plans.current(FamilyId("f1"))
        assert version is not None
        document = version.document
        document["activities"][0]["target"] = {"share_of_awake": 0.25}
        document["activities"][1]["side"] = {"affected": 2, "unaffected": 1}
        uow.plans.add(
            FamilyId("f1"), document, made_by=Actor.therapist(TherapistId("t1")), now=house.clock.now()
        )
    await house.at(13)
    await say(house, house.robin, "/digest pip")

    assert "Tummy time 40 min → 25 % a day; Football hold sides in turn → weak to strong side 2:1" in house.last(house.robin).text  # fmt: skip


async def test_a_check_that_falls_due_soon_is_a_cue_in_the_digest(house: House) -> None:
    # Born on 20 November: three months on 20 February, six on 20 May.
    house.clock.advance(timedelta(days=70))
    await house.settle()
    await say(house, house.robin, "/digest pip")

    assert "Checks due: Six-month check: Wed 20 May" in house.last(house.robin).text
