"""Whose sign it is: by role, name of kin, the carer's own body and the Spanish "le"."""

from __future__ import annotations

import pytest

from bot.concerns.reader import find_concerns

OF_OTHERS = (
    "Mateo's cousin next door has a fever",
    "my boyfriend fell down the stairs, he's ok",
    "the cat threw up on the mat",
    "I have a fever of 38.5 so my mum did it",
    "my hand is bruised from the buggy",
    "my wrist hurts from holding her",
    "the neighbour's kid had a seizure at school",
    "my sister in law is in hospital with a seizure",
    "grandpa choked on a bone at dinner, all fine",
    "the dog bit the postman",
    "my back went and I can't lift anything",
    "my husband has a rash on his arm",
    "my older son vomited all night, so no tummy time",
    "I fainted at work yesterday",
    "her twin brother has a cold",
    "a kid at day care hit his head, not ours",
    "my nose is bleeding, one sec",
    "our cat is limp and old",
    "al vecinito le dio fiebre",
    "a mi marido le sangra la nariz",
    "mi suegra se cayó de la cama",
    "a mi hermana le dio una convulsión",
    "tengo 39 de fiebre yo, no la nena",
    "el perro vomitó en la colchoneta",
    "me duele la muñeca de cargarlo",
    "mi novio se desmayó en el trabajo",
    "a la prima le salieron ronchas",
    "mi hijo mayor se golpeó la cabeza jugando fútbol",
    "a mi papá le falta el aire cuando sube",
    "me quemé la mano con la plancha",
    "la gata está floja hoy",
    "a mí me dio calentura anoche",
    "al abuelo no le responde la pierna",
)
OF_THE_BABY = (
    "Leo has a fever like my boyfriend",
    "he has his cousin's fever now, 38.9",
    "my boyfriend dropped her on the floor",
    "the cat scratched her eye and it bleeds",
    "the neighbour's kid hit the baby on the head",
    "my son is not breathing right",
    "after my fever went she got 38.8",
    "my mum says she went limp",
    "her brother threw a block and her head bleeds",
    "the dog bit his hand",
    "le dio fiebre de 38.7",
    "le sangra el oído",
    "al bebé le dio una convulsión",
    "a la nena le falta el aire",
    "mi marido lo dejó caer",
    "se me cayó de los brazos",
    "se me cayó la niña",
    "a mi hijo le salieron ronchas moradas que no se borran",
    "se le hinchó la cabeza",
    "mi suegra dice que está morado",
    "se me desmayó en brazos",
    "no me respira bien",
    "no me despierta la bebé",
)


@pytest.mark.parametrize("text", OF_OTHERS)
def test_a_sign_of_someone_else_raises_nothing(text: str) -> None:
    assert find_concerns(text, age_weeks=14, affected_side="right").concern is None


@pytest.mark.parametrize("text", OF_THE_BABY)
def test_a_sign_of_the_baby_is_raised_whoever_else_is_named(text: str) -> None:
    found = find_concerns(text, age_weeks=14, affected_side="right").concern

    assert found is not None
    assert found.urgency != "tell_therapist"
