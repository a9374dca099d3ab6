"""Who may take an invitation, what follows until the yes, what becomes of words in a group."""

from __future__ import annotations

from typing import Any

import pytest

from bot.domain.ids import CarerId, FamilyId, TherapistId
from bot.domain.invitations import Invitation
from bot.domain.people import Carer, Therapist
from bot.features.enrolment.rules import (
    GroupTurn,
    JoiningStep,
    Place,
    first_language,
    joining_step,
    may_be_invited_again,
    name_written,
    of_the_name,
    place_of,
    seats_group,
    taking_part,
    turn_in_group,
)
from tests.features.states import carer, family

FOR_MUM = Invitation(FamilyId("f1"), CarerId("c1"), None)
FOR_ROBIN = Invitation(None, None, TherapistId("t1"))


def therapist(therapist_id: str = "t1") -> Therapist:
    nothing: dict[str, Any] = dict.fromkeys(Therapist.__dataclass_fields__)
    return Therapist(**{**nothing, "id": TherapistId(therapist_id), "name": "Robin", "language": "en"})


NEIGHBOUR = carer("c9", name="Neighbour")
ELSEWHERE = carer("c9", family_id="f2")
GONE = carer("c9", state="left")


@pytest.mark.parametrize(
    ("invitation", "sits", "here", "left", "place"),
    [
        (FOR_MUM, None, [], [], Place(taken=False)),
        (FOR_MUM, None, [carer("c1")], [], Place(taken=False)),
        (FOR_MUM, None, [NEIGHBOUR], [], Place(taken=True)),
        (FOR_MUM, None, [ELSEWHERE], [], Place(taken=False)),
        (FOR_MUM, None, [], [GONE], Place(taken=False, released=(GONE,))),
        (FOR_MUM, None, [], [carer("c1", state="left")], Place(taken=False)),
        (FOR_MUM, therapist(), [], [], Place(taken=True)),
        (FOR_ROBIN, None, [], [], Place(taken=False)),
        (FOR_ROBIN, therapist(), [], [], Place(taken=False)),
        (FOR_ROBIN, therapist("t2"), [], [], Place(taken=True)),
        (FOR_ROBIN, None, [carer("c1")], [], Place(taken=True)),
    ],
)
def test_a_chat_that_is_somebody_elses_place_takes_no_invitation(
    invitation: Invitation, sits: Therapist | None, here: list[Carer], left: list[Carer], place: Place
) -> None:
    assert place_of(invitation, sits, here, left) == place


@pytest.mark.parametrize(
    ("phone", "invited", "already", "language"),
    [
        ("en", "en", [], "en"),
        ("es-419", "en", [], "es"),
        ("en", "es", [], "es"),
        ("es", "es", [carer(language="en")], "en"),
    ],
)
def test_a_talk_begins_in_the_language_of_its_chat_then_in_spanish_where_phone_or_invitation_is(
    phone: str, invited: str, already: list[Carer], language: str
) -> None:
    assert first_language(phone, carer(language=invited), already) == language


@pytest.mark.parametrize(
    ("step", "known", "role", "typed", "follows"),
    [
        (None, {}, "parent", "", "ask_who"),
        (None, {}, "parent", "hello?", "ask_who"),
        (None, {}, "grandparent", "", "ask_consent"),
        (None, {"role": "father"}, "parent", "", "ask_consent"),
        ("name", {}, "parent", "", "ask_name"),
        ("name", {}, "parent", "  Aunt Bea ", "named"),
        ("name", {}, "parent", "/start", "ask_name"),
        ("name", {}, "parent", "x" * 41, "ask_name"),
        ("consent", {"role": "father"}, "parent", "yes please", "agreed"),
        ("consent", {"role": "father"}, "parent", "sí", "agreed"),
        ("consent", {"role": "father"}, "parent", "no", "declined"),
        ("consent", {"role": "father"}, "parent", "who sees it?", "ask_consent"),
    ],
)
def test_until_the_yes_each_message_brings_the_next_open_question(
    step: str | None, known: dict[str, object], role: str, typed: str, follows: JoiningStep
) -> None:
    assert joining_step(step, known, carer(role=role, state="joining"), typed) == follows


def test_the_same_name_is_found_whatever_its_accents_and_capitals() -> None:
    people = [carer("c1", name="Inés"), carer("c2", name="Ana"), carer("c3", name="ines")]

    assert [each.id for each in of_the_name(people, "INES")] == ["c1", "c3"]


@pytest.mark.parametrize(
    ("text", "name"),
    [(" Aunt   Bea ", "Aunt Bea"), ("", None), ("   ", None), ("x" * 40, "x" * 40), ("x" * 41, None)],
)
def test_a_name_is_short_and_not_empty(text: str, name: str | None) -> None:
    assert name_written(text) == name


def test_who_left_and_the_group_take_no_part_and_who_never_came_may_be_invited_again() -> None:
    people = [
        carer("c1"),
        carer("c2", state="invited"),
        carer("c3", state="left"),
        carer("g", role="group"),
        carer("c4", state="joining"),
    ]

    assert [each.id for each in taking_part(people)] == ["c1", "c2", "c4"]
    assert [each.id for each in may_be_invited_again(people)] == ["c2", "c3", "c4"]


@pytest.mark.parametrize(
    ("changes", "allowed", "seated"),
    [
        ({}, True, True),
        ({}, False, False),
        ({"state": "joining"}, True, False),
        ({"role": "day_care"}, True, False),
        ({"role": "grandparent"}, True, True),
    ],
)
def test_only_one_of_the_family_who_agreed_brings_a_group_in_and_only_where_it_is_allowed(
    changes: dict[str, Any], allowed: bool, seated: bool
) -> None:
    who = carer(**changes)
    families = {FamilyId("f1"): family(group_allowed=allowed)}

    assert seats_group([who], families) == (who if seated else None)
    assert seats_group([carer(family_id="f2"), who], families) == (who if seated else None)


@pytest.mark.parametrize(
    ("speaker", "command", "for_us", "turn"),
    [
        (carer(), None, False, "not_for_us"),
        (None, None, False, "not_for_us"),
        (None, "/today", True, "not_joined"),
        (carer(), "/today", True, "taken"),
        (carer(), None, True, "taken"),
        (carer(), "/mydata", True, "in_private"),
        (carer(), "/leave", True, "in_private"),
    ],
)
def test_in_a_group_only_those_who_joined_are_read_and_what_is_ones_own_stays_private(
    speaker: Carer | None, command: str | None, for_us: bool, turn: GroupTurn
) -> None:
    assert turn_in_group(speaker, command, for_us=for_us) == turn
