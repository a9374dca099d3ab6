"""Denial by its classes, in both languages: within a sign, neither and nor, turned round, in a learner's order, in Spain's perfect tense,
denied itself, and what was feared and was not."""

from __future__ import annotations

import pytest

from bot.concerns.finding import Findings
from bot.concerns.perfect import as_simple_past
from bot.concerns.reader import find_concerns

TROUBLE = (
    "she kept nothing down since last night",
    "he has kept nothing down all day",
    "no ha retenido nada desde anoche",
    "no le para nada en el estómago",
    "not the eyes open, not the hands moving",
    "he doesn't the eyes open",
    "no abre los ojos por más que le hablo",
    "neither drinks nor pees since yesterday",
    "ni come ni hace pis desde ayer",
    "she neither wakes nor cries",
    "se ha puesto morado",
    "se ha caído del cambiador y vomita",
    "ha dejado de respirar",
    "no ha respirado durante un rato",
    "not that she isn't breathing badly, she is",
    "I can't say she has no fever",
    "it's not true that he has no fever",
    "no es que no tenga fiebre, la tiene",
    "not a day without vomiting everything",
    "no deja de vomitar",
    "he never stops vomiting",
    "she isn't waking, isn't she blue too",
    "no breathing for ten seconds",
    "nothing stays down, not even water",
    "nada le cae bien, todo lo vomita",
    "ni agua retiene",
    "hasn't once opened her eyes",
    "los ojos no los abre",
    "despertar no despierta",
    "breathing she is not",
    "respirar no respira",
    "moverse no se mueve",
    "comer no come nada desde ayer",
)
DENIED = (
    "she has neither fever nor rash",
    "neither blue nor grey, just tired",
    "ni fiebre ni vómito",
    "no tiene ni fiebre ni manchas",
    "fever she has not",
    "fever no",
    "blue he was never",
    "fiebre no tiene",
    "vómito no ha tenido",
    "convulsiones no ha tenido nunca",
    "no ha tenido fiebre",
    "no ha vomitado",
    "no se ha caído",
    "no le ha dado fiebre esta noche",
    "no se ha puesto morado",
    "no ha convulsionado",
    "I was afraid it was a seizure but it was not",
    "pensé que convulsionaba pero no",
    "creí que tenía fiebre pero no",
    "me asusté pensando que se ahogaba pero no era eso",
    "thought he had a fever, turns out he doesn't",
    "I was scared he stopped breathing but he hadn't",
    "we worried it was a fit but it wasnt",
    "no seizure has he had",
    "without fever, without vomiting",
    "sin fiebre y sin vómitos",
    "he has no more fever",
    "she didn't fall",
    "nobody hurt him",
    "nadie le pegó",
    "is not fever, is not vomit",
    "she not have fever",
    "he no vomit today",
    "no have seizure",
    "the baby not turned blue",
    "not once did he go blue",
    "at no time was she limp",
    "en ningún momento se puso morada",
    "nunca se puso morada",
    "tampoco tiene fiebre",
    "fever? no",
    "fiebre? ninguna",
    "there was no blood and no bruise",
    "no hubo sangre ni moretones",
)


def read(text: str) -> Findings:
    return find_concerns(text, age_weeks=14, affected_side="right")


@pytest.mark.parametrize("text", TROUBLE)
def test_a_denial_that_makes_the_sign_takes_nothing_away(text: str) -> None:
    found = read(text)

    assert found.concern is not None or found.hinted is not None
    assert found.concern is None or found.concern.urgency != "tell_therapist"


@pytest.mark.parametrize("text", DENIED)
def test_a_plainly_denied_sign_raises_nothing(text: str) -> None:
    assert read(text).concern is None


def test_what_is_explained_away_is_asked_about() -> None:
    found = read("I thought she was blue but it was just the light")

    assert found.concern is None
    assert found.unclear is not None


@pytest.mark.parametrize(
    ("told", "past"),
    [
        ("se ha caido", {2: "cayo"}),
        ("se han puesto", {2: "pusieron"}),
        ("le he pegado", {2: "pege"}),
        ("ha comido y ha vomitado", {1: "comio", 4: "vomito"}),
        ("esta dormido", {}),
        ("ha sido", {1: "fue"}),
        ("ha ido", {1: "fue"}),
        ("ha lado", {}),
    ],
)
def test_the_perfect_tense_is_read_as_the_simple_past(told: str, past: dict[int, str]) -> None:
    assert as_simple_past(told.split()) == past
