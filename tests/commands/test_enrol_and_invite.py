"""Enrolling therapists and inviting carers from the server."""

from __future__ import annotations

import asyncio
import json
import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from cryptography.fernet import Fernet
from sqlalchemy import Table, select
from typer.testing import CliRunner, Result

from bot.clock import RealClock
from bot.commands.all import app
from bot.domain.invitations import Invitation
from bot.errors import InputProblem
from bot.storage import registration
from bot.storage.encryption import Encryption
from bot.storage.store import Store
from bot.storage.tables import carers, clinics, therapists

KEY = Fernet.generate_key().decode()
CLINIC = (
    "--clinic", "Harbour Arm Clinic", "--zone", "America/Halifax", "--emergency-line", "555 0199", "--nurse-line", "555 0100",
)  # fmt: skip


@pytest.fixture
def url(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    url = f"sqlite:///{tmp_path / 'clinic.db'}"
    monkeypatch.setenv("UNDERWING_DATABASE", url)
    monkeypatch.setenv("UNDERWING_KEY", KEY)
    for name in ("UNDERWING_TOKEN", "UNDERWING_TOKEN_FILE"):
        monkeypatch.delenv(name, raising=False)
    return url


def run(*arguments: str) -> Result:
    result = CliRunner().invoke(app, list(arguments))
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def rows(url: str, table: Table) -> list[Any]:
    async def read() -> list[Any]:
        store = Store.open(url, Encryption(KEY))
        with store.read() as uow:
            found = list((uow.conn.execute(select(table))).all())
        store.close()
        return found

    return asyncio.run(read())


def accepted(url: str, output: str) -> Invitation | None:
    """Use the code that a command printed."""
    code = re.search(r"once: (\S+)", output)
    assert code is not None

    async def accept() -> Invitation | None:
        store = Store.open(url, Encryption(KEY))
        with store.write() as uow:
            found = uow.invitations.accept(code[1], RealClock().now())
        store.close()
        return found

    return asyncio.run(accept())


def a_family(url: str) -> str:
    async def make() -> str:
        store = Store.open(url, Encryption(KEY))
        with store.write() as uow:
            therapist_id = registration.add_therapist(uow, name="Robin", language="en")
            plan = registration.empty_plan(
                nickname="Ada", born=date(2026, 1, 3), gestation_weeks=38, affected_side="left", time_zone="Europe/Madrid"
            )  # fmt: skip
            family_id = registration.add_family(
                uow, therapist_id=therapist_id, plan=plan, now=RealClock().now()
            )
        store.close()
        return family_id

    return asyncio.run(make())


def test_the_first_therapist_makes_the_clinic_and_gets_a_code_that_works_once(url: str) -> None:
    output = run("enrol", "--name", "Robin", *CLINIC).output

    assert [row.name for row in rows(url, clinics)] == ["Harbour Arm Clinic"]
    therapist = rows(url, therapists)[0]
    assert (therapist.name, therapist.chat_id) == ("Robin", None)
    invitation = accepted(url, output)
    assert invitation is not None and invitation.therapist_id == therapist.id
    assert accepted(url, output) is None


def test_without_a_clinic_every_missing_option_is_named_and_nothing_is_made(url: str) -> None:
    with pytest.raises(InputProblem, match="--clinic, --emergency-line, --nurse-line"):
        run("enrol", "--name", "Robin", "--zone", "America/Halifax")

    assert rows(url, clinics) == rows(url, therapists) == []


def test_a_second_therapist_leaves_the_clinic_as_it_is(url: str) -> None:
    run("enrol", "--name", "Robin", *CLINIC)
    run("enrol", "--name", "Alex", "--language", "es", "--zone", "Europe/Madrid")

    assert [row.time_zone for row in rows(url, clinics)] == ["America/Halifax"]
    assert {(row.name, row.language) for row in rows(url, therapists)} == {("Robin", "en"), ("Alex", "es")}


@pytest.mark.parametrize(
    ("arguments", "named"),
    [(("--name", " "), "--name"), (("--name", "Robin", "--language", "fr"), "--language"), (("--name", "Robin", "--zone", "Atlantis"), "--zone")],
)  # fmt: skip
def test_a_bad_option_is_named(url: str, arguments: tuple[str, ...], named: str) -> None:
    with pytest.raises(InputProblem, match=named):
        run("enrol", *arguments)


def test_a_carer_is_invited_and_a_new_code_replaces_the_old(url: str) -> None:
    run("enrol", "--name", "Robin", *CLINIC)
    family_id = a_family(url)
    first = run("invite", "--family", family_id, "--name", "Nana", "--role", "grandparent").output
    carer = rows(url, carers)[0]
    second = run("invite", "--family", family_id, "--carer", carer.id).output

    assert (carer.name, carer.role, carer.state) == ("Nana", "grandparent", "invited")
    assert accepted(url, first) is None
    invitation = accepted(url, second)
    assert invitation is not None and (invitation.family_id, invitation.carer_id) == (family_id, carer.id)


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (("--family", "f9", "--name", "Nana"), "--family 'f9'"),
        (("--family", "f9"), "--carer ID"),
        (("--family", "f9", "--name", "Nana", "--carer", "c1"), "--carer ID"),
        (("--family", "f9", "--name", "Nana", "--language", "fr"), "--language"),
        (("--family", "f9", "--name", "Nana", "--role", ""), "--role"),
    ],
)
def test_an_invitation_that_cannot_be_made_says_why(url: str, arguments: tuple[str, ...], named: str) -> None:
    with pytest.raises(InputProblem, match=named):
        run("invite", *arguments)


def test_a_second_enrolment_of_a_name_is_asked_about(url: str) -> None:
    run("enrol", "--name", "Robin", *CLINIC)
    with pytest.raises(InputProblem, match="--again.*--another"):
        run("enrol", "--name", "robin")
    run("enrol", "--name", "Robin", "--another")

    assert len(rows(url, therapists)) == 2


def test_a_lost_code_of_a_therapist_is_made_anew_and_the_old_one_ends(url: str) -> None:
    first = run("enrol", "--name", "Robin", *CLINIC).output
    second = run("enrol", "--name", "Robin", "--again").output

    assert len(rows(url, therapists)) == 1
    assert accepted(url, first) is None
    assert accepted(url, second) is not None


def test_a_new_code_needs_somebody_who_waits_for_one(url: str) -> None:
    run("enrol", "--name", "Robin", *CLINIC)
    with pytest.raises(InputProblem, match="no therapist is called"):
        run("enrol", "--name", "Sam", "--again")
    run("enrol", "--name", "Robin", "--another")
    with pytest.raises(InputProblem, match="2 therapists"):
        run("enrol", "--name", "Robin", "--again")


def test_an_invitation_can_be_had_in_json(url: str) -> None:
    told = json.loads(run("enrol", "--name", "Robin", "--json", *CLINIC).output)

    assert (told["for"], told["days"], told["link"]) == ("therapist Robin", 14, None)
    assert len(told["code"]) == 20
