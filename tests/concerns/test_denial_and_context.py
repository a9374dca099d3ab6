"""Denied, doubted, imagined, long past and other people's signs."""

from __future__ import annotations

import pytest

from tests.concerns.cases import find, urgency


@pytest.mark.parametrize(
    "text",
    [
        "no fever",
        "no fever or rash",
        "no fever, rash or vomiting",
        "she isn't blue",
        "her lips are not blue",
        "he hasn't had a seizure",
        "not floppy at all",
        "sin fiebre ni vómitos",
        "no está morada",
        "fever? no",
        "no signs of a seizure",
    ],
)
def test_a_plain_denial_raises_nothing_and_asks_nothing(text: str) -> None:
    found = find(text)
    assert found.concern is None
    assert found.unclear is None


def test_a_denied_temperature_or_sign_is_accounted_for() -> None:
    text = "no fever, temp 37.2, tummy 5 min"
    assert [text[span.start : span.end] for span in find(text).spans] == ["fever", "37.2"]


@pytest.mark.parametrize(
    ("text", "topic"),
    [
        ("I don't think she's breathing funny but not sure", "struggling_to_breathe"),
        ("I don't think it's a seizure", "fit"),
        ("probably not a seizure", "fit"),
        ("doubt he's blue", "blue_or_grey"),
        ("she doesn't look blue", "blue_or_grey"),
        ("not really floppy", "floppy"),
        ("no creo que sea una convulsión", "fit"),
    ],
)
def test_a_doubtful_denial_of_an_urgent_sign_is_asked_about(text: str, topic: str) -> None:
    found = find(text)
    assert found.concern is None
    assert found.unclear is not None
    assert topic in found.unclear.topics


@pytest.mark.parametrize(
    "text",
    [
        "I think he's going blue",
        "looks a bit blue",
        "maybe a seizure?",
        "he seems a bit floppy?",
        "not sure if she's breathing ok, she looks grey",
        "i don't know if that was a seizure",
        "isn't she breathing funny?",
        "never seen her so floppy",
        "no fever but her lips are blue",
        "no fever, blue lips",
        "no fever and he's breathing fast",
        "not happy. blue lips",
        "no she is blue",
    ],
)
def test_hedges_questions_and_half_denials_raise(text: str) -> None:
    assert urgency(text) == "act_now"


@pytest.mark.parametrize(
    "text",
    [
        "what if she gets a fever",
        "if he turns blue should I call?",
        "what do i do if she has a seizure",
        "qué hago si le da fiebre",
        "when should i worry about fever",
        "the nurse said to call if he turns blue",
    ],
)
def test_what_is_only_imagined_raises_nothing(text: str) -> None:
    assert urgency(text) is None


@pytest.mark.parametrize(
    "text",
    [
        "he had a seizure last year",
        "when she was born she was blue",
        "she was floppy at birth",
        "used to turn blue as a newborn",
        "al nacer estaba morado",
        "tuvo convulsiones hace meses",
    ],
)
def test_what_is_long_past_raises_nothing(text: str) -> None:
    assert urgency(text) is None


@pytest.mark.parametrize(
    "text",
    [
        "she was blue when she was born and now she's blue again",
        "he went blue last night",
        "yesterday she had a fit",
    ],
)
def test_what_is_recent_or_back_again_raises(text: str) -> None:
    assert urgency(text) == "act_now"


@pytest.mark.parametrize(
    "text",
    [
        "his brother has a fever",
        "my husband is vomiting",
        "I have a fever",
        "the dog had a seizure",
        "the doll's lips are blue",
        "su hermano tiene fiebre",
        "yo tengo fiebre",
    ],
)
def test_other_people_animals_and_things_raise_nothing(text: str) -> None:
    assert urgency(text, age_weeks=9) is None


@pytest.mark.parametrize(
    "text",
    [
        "my mum says his lips look blue",
        "her brother sat on her and now she is blue",
        "grandma thinks she is having a seizure",
        "mi suegra dice que está morado",
        "did it with grandpa, now she's grey",
    ],
)
def test_what_others_say_of_the_baby_raises(text: str) -> None:
    assert urgency(text) == "act_now"


@pytest.mark.parametrize(
    ("text", "age_weeks", "expected"),
    [
        ("no quiere ni pecho ni biberón", 5, "act_now"),
        ("no fever nor rash", 14, None),
        ("no sirvo para nada, mejor me muero", 14, "act_now"),
        ("her elbow feels stiffer than last month", 14, "tell_therapist"),
        ("her elbow felt stiff last month", 14, None),
        ("la tengo como trapito", 14, "act_now"),
        ("like a dog out of breath, she pants even asleep", 14, "act_now"),
        ("el perro de la vecina tuvo una convulsión", 14, None),
    ],
)
def test_a_nor_a_comparison_and_whose_it_is(text: str, age_weeks: int, expected: str | None) -> None:
    assert urgency(text, age_weeks=age_weeks) == expected


@pytest.mark.parametrize(
    "text",
    [
        "al gato le dio una convulsión",
        "a mi hermana le dio fiebre anoche",
        "al perro le sale sangre de la oreja",
        "running a fever myself today",
    ],
)
def test_whom_spanish_has_named_or_the_carer_is_not_the_baby(text: str) -> None:
    assert find(text).concern is None


@pytest.mark.parametrize(
    "text",
    [
        "le dio una convulsión",
        "a la bebé le dio una convulsión",
        "mi hermana dice que le dio una convulsión",
        "al gato nada, a la niña le dio una convulsión",
        "I checked myself, she has a fever",
        "her lips went blue, saw it myself",
        "39.2, took it myself",
    ],
)
def test_the_babys_own_sign_always_raises(text: str) -> None:
    assert find(text).concern is not None
