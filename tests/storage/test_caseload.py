"""The caseload file: read with every problem named, loaded once."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import func, select

from bot.activities.library import load_library
from bot.domain.actor import Actor
from bot.domain.ids import CarerId, FamilyId, TherapistId
from bot.errors import InputProblem
from bot.storage import import_caseload
from bot.storage.caseload_file import caseload_from, read_caseload
from bot.storage.store import Store
from bot.storage.tables import metadata
from tests.conftest import BOTH
from tests.journeys.conftest import CASELOAD

NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
KNOWN = list(load_library())


def changed(change: Callable[[dict[str, Any]], object]) -> dict[str, Any]:
    document = copy.deepcopy(CASELOAD)
    change(document)
    return document


def problems_of(document: object) -> tuple[str, ...]:
    with pytest.raises(InputProblem) as caught:
        caseload_from(document, KNOWN, where="c.yaml")
    return caught.value.problems


BAD: list[tuple[Callable[[dict[str, Any]], object], str]] = [
    (lambda d: d.pop("clinic"), "clinic: is missing"),
    (lambda d: d["clinic"].update(time_zone="Mars/Base"), "clinic.time_zone"),
    (lambda d: d["clinic"].update(digest={"weekday": "someday", "at": "18:00"}), "clinic.digest.weekday"),
    (lambda d: d["clinic"].update(digest={"weekday": "sunday", "at": "25:00"}), "clinic.digest.at"),
    (lambda d: d["clinic"].update(nurse=1), "clinic.nurse: is not a known field"),
    (lambda d: d["therapists"].clear(), "therapists"),
    (lambda d: d["families"][0].update(therapist="t9"), "families[0].therapist: 't9'"),
    (lambda d: d["families"][0].update(prompts_to=["c1", "c9"]), "families[0].prompts_to[1]: 'c9'"),
    (lambda d: d["families"].append(d["families"][0]), "families: id 'f1' stands 2 times"),
    (lambda d: d["families"][0]["carers"][1].update(id="c1"), "families[0].carers: id 'c1'"),
    (lambda d: d["families"][0]["carers"][1].update(chat_id=5001), "chat_id 5001 stands twice"),
    (lambda d: d["families"][0]["carers"][1].update(chat_id=9001), "therapist t1's own chat"),
    (lambda d: d["families"][0]["carers"][1].update(chat_id="5002"), "families[0].carers[1].chat_id"),
    (lambda d: d["families"][0]["carers"][0].update(language="fr"), "families[0].carers[0].language"),
    (lambda d: d["families"][0]["plan"]["activities"][0].update(session=[9, 3]), "families[0].plan.activities[0].session"),
    (lambda d: d["families"][0]["plan"]["activities"][1].update(activity="juggling"), "families[0].plan.activities[1].activity: 'juggling'"),
    (lambda d: d["families"][0]["plan"].update(awke=[]), "families[0].plan.awke"),
    (lambda d: d["families"][0]["carers"][0].update(taught={"juggling": "2026-03-01"}), "families[0].carers[0].taught.juggling"),
    (lambda d: d["families"][0]["carers"][0].update(taught={"gentle_range": "soon"}), "families[0].carers[0].taught.gentle_range"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "expected"), BAD)
def test_a_bad_caseload_names_the_place_of_its_problem(
    change: Callable[[dict[str, Any]], object], expected: str
) -> None:
    assert any(expected in problem for problem in problems_of(changed(change)))


def test_every_problem_is_told_at_once() -> None:
    def two(document: dict[str, Any]) -> None:
        document["clinic"]["time_zone"] = "Mars/Base"
        document["families"][0]["plan"]["activities"][0]["session"] = "long"

    assert len(problems_of(changed(two))) == 2


@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(),
        lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    )
)
def test_no_document_whatever_brings_a_traceback(document: object) -> None:
    assert problems_of(document)


@pytest.mark.parametrize("suffix", [".yaml", ".json"])
def test_yaml_and_json_say_the_same(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"caseload{suffix}"
    path.write_text(json.dumps(CASELOAD) if suffix == ".json" else yaml.safe_dump(CASELOAD), encoding="utf-8")

    assert read_caseload(path, KNOWN).model_dump() == caseload_from(CASELOAD, KNOWN, where="x").model_dump()


def test_clock_times_and_dates_without_quotes_are_read_as_written(tmp_path: Path) -> None:
    text = yaml.safe_dump(CASELOAD).replace("'", "")
    assert "born: 2025-11-20" in text
    assert "at: 18:00" in text
    path = tmp_path / "c.yaml"
    path.write_text(text, encoding="utf-8")

    assert read_caseload(path, KNOWN).model_dump() == caseload_from(CASELOAD, KNOWN, where="x").model_dump()


@pytest.mark.parametrize("content", [b"\xff\xfe", b"a: [1", b"{", b"", b"- 1"])
def test_a_file_that_is_no_caseload_is_one_clear_sentence(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "c.yaml"
    path.write_bytes(content)
    with pytest.raises(InputProblem) as caught:
        read_caseload(path, KNOWN)

    assert str(path) in caught.value.problems[0]


async def everything(store: Store) -> dict[str, int]:
    with store.read() as uow:
        return {
            name: (uow.conn.scalar(select(func.count()).select_from(table))) or 0
            for name, table in metadata.tables.items()
        }


@BOTH
async def test_loading_the_same_file_twice_changes_nothing(store: Store) -> None:
    document = changed(
        lambda d: d["families"][0]["carers"].append({"id": "c3", "name": "Aunt", "consented": False})
    )
    caseload = caseload_from(document, KNOWN, where="x")
    with store.write() as uow:
        first = import_caseload.load(uow, caseload, NOW)
    before = await everything(store)
    with store.write() as uow:
        second = import_caseload.load(uow, caseload, NOW)

    assert (first.families_new, second.families_same) == (1, 1)
    assert len(first.invitations) == 1
    assert second.invitations == ()
    assert await everything(store) == before


async def test_a_changed_plan_is_a_new_version_and_one_made_in_chat_stays(store: Store) -> None:
    caseload = caseload_from(CASELOAD, KNOWN, where="x")
    with store.write() as uow:
        import_caseload.load(uow, caseload, NOW)
        version = uow.plans.current(FamilyId("f1"))
        assert version is not None
        own = {**version.document, "most_prompts": 3}
        uow.plans.add(FamilyId("f1"), own, made_by=Actor.therapist(TherapistId("t1")), now=NOW)
        import_caseload.load(uow, caseload, NOW)
        kept = uow.plans.current(FamilyId("f1"))
        renamed = changed(lambda d: d["families"][0]["carers"][0].update(name="Mama"))
        import_caseload.load(uow, caseload_from(renamed, KNOWN, where="x"), NOW)
        still = uow.plans.current(FamilyId("f1"))
        other = changed(lambda d: d["families"][0]["plan"].update(most_prompts=2))
        import_caseload.load(uow, caseload_from(other, KNOWN, where="x"), NOW)
        newest = uow.plans.current(FamilyId(FamilyId("f1")))

    assert [v and v.plan.most_prompts for v in (kept, still, newest)] == [3, 3, 2]


async def test_a_hold_of_the_arm_made_in_chat_outlives_a_file_that_does_not_speak_of_it(store: Store) -> None:
    hold = {"reason": "fracture", "from": "2026-03-01", "until": "2026-03-20"}
    other = changed(lambda d: d["families"][0]["plan"].update(most_prompts=2))
    renamed = copy.deepcopy(other)
    renamed["families"][0]["carers"][0]["name"] = "Mama"
    ended = copy.deepcopy(other)
    ended["families"][0]["plan"]["arm_hold"] = None
    held: list[bool] = []
    with store.write() as uow:
        import_caseload.load(uow, caseload_from(CASELOAD, KNOWN, where="x"), NOW)
        own = {**uow.plans.get(FamilyId("f1")).document, "arm_hold": hold}
        uow.plans.add(FamilyId("f1"), own, made_by=Actor.therapist(TherapistId("t1")), now=NOW)
        for document in (other, renamed, ended):
            import_caseload.load(uow, caseload_from(document, KNOWN, where="x"), NOW)
            held.append(uow.plans.get(FamilyId("f1")).plan.arm_hold is not None)
        versions = len(uow.plans.versions(FamilyId("f1")))

    assert held == [True, True, False]
    assert versions == 4


async def test_a_chat_is_never_both_a_therapists_and_a_carers(store: Store) -> None:
    with store.write() as uow:
        import_caseload.load(uow, caseload_from(CASELOAD, KNOWN, where="x"), NOW)
    document = changed(lambda d: d["therapists"].append({"id": "t2", "name": "Noor", "chat_id": 5001}))
    document["families"] = []
    with pytest.raises(InputProblem, match="already a carer's chat"), store.write() as uow:
        import_caseload.load(uow, caseload_from(document, KNOWN, where="x"), NOW)

    with store.read() as uow:
        assert uow.therapists.find(TherapistId("t2")) is None


async def test_a_carer_who_left_is_not_brought_back_by_the_file(store: Store) -> None:
    caseload = caseload_from(CASELOAD, KNOWN, where="x")
    with store.write() as uow:
        import_caseload.load(uow, caseload, NOW)
        mum = uow.carers.find(FamilyId("f1"), CarerId("c1"))
        assert mum is not None
        uow.carers.leave(mum, NOW)
        again = changed(lambda d: d["families"][0]["carers"][1].update(name="Opa"))
        import_caseload.load(uow, caseload_from(again, KNOWN, where="x"), NOW)
        mum = uow.carers.find(FamilyId("f1"), CarerId("c1"))

    assert mum is not None
    assert mum.state == "left"


def test_a_number_without_quotes_is_a_telephone_number(tmp_path: Path) -> None:
    document = copy.deepcopy(CASELOAD)
    document["clinic"]["emergency_line"] = 911
    document["families"][0]["numbers"] = {"nurse_line": 112}
    file = tmp_path / "caseload.yaml"
    file.write_text(yaml.safe_dump(document, allow_unicode=True), encoding="utf-8")
    caseload = read_caseload(file, list(load_library()))

    assert "emergency_line: 911" in file.read_text(encoding="utf-8")
    assert caseload.clinic.emergency_line == "911"
    numbers = caseload.families[0].numbers
    assert numbers is not None and numbers.nurse_line == "112"
