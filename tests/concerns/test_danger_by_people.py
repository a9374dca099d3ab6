"""Danger by people, at home and at the end of one's strength: what is found, by which text it is answered, and what is not it."""

from __future__ import annotations

import pytest

from bot.concerns.advice import DISCREET, advice_for, is_discreet
from tests.concerns.cases import find

FOUND = {
    "harm_by_others": [
        "finger marks on her arm", "there are finger marks on the baby's arm", "bruises shaped like fingers on his leg",
        "handprint on her cheek after daycare", "the sitter is rough with her", "I think the nanny is rough with my baby",
        "my boyfriend hits the baby", "my boyfriend shook her last night", "her dad slapped him", "someone hurts her at nursery",
        "I saw the babysitter shaking him", "my mother in law yanks her by the arm", "his father punched him",
        "marcas de dedos en el brazo", "mi novio le pega a la bebé", "la niñera es brusca con ella", "el la sacude cuando llora",
        "creo que la niñera la maltrata", "mi esposo zarandeó al bebé",
    ],
    "unsafe_home": [
        "my boyfriend hits me", "my boyfriend hits me and the baby saw it", "my husband threatened me last night",
        "he hits me when he drinks", "i am scared of my husband", "I don't feel safe at home", "im afraid to go home",
        "domestic violence", "my partner is violent", "he choked me", "he pulled a knife on me",
        "mi esposo me pega", "mi novio me amenaza", "tengo miedo de mi pareja", "no me siento segura en mi casa",
        "hay violencia en casa", "el me golpeó anoche", "me pega mi marido",
    ],
    "left_alone": [
        "I leave her alone when I work", "i leave him by himself while i go to the shop", "she is home alone when i have my shift",
        "I left the baby home alone", "la dejo sola cuando trabajo", "lo dejo solito para ir al trabajo",
        "dejo a mi bebe solo cuando salgo a trabajar",
    ],
    "neglect_food": [
        "no milk to give", "I have no milk to give her", "there is no formula left until payday", "nothing to feed the baby",
        "we ran out of formula", "cant afford formula", "I water down the milk so it lasts",
        "no tengo leche para darle", "no hay fórmula", "no me alcanza para la leche", "no tengo qué darle de comer",
        "le pongo más agua a la leche para que rinda",
    ],
    "found_face_down": [
        "found her face down in her crib", "I found him face down", "she was face down in the cot this morning",
        "her face was pressed into the mattress", "the blanket was over his face when I woke", "pillow over her face",
        "la encontré boca abajo en la cuna", "tenía la cara contra el colchón", "la cobija le tapaba encima de la cara",
    ],
    "carer_end": [
        "I nearly threw her, I could not take the crying", "I almost shook him", "im scared i will hurt her if she wont stop crying",
        "casi la sacudo, ya no aguanto",
    ],
    "carer_self_harm": [
        "everyone would be better off without me", "I want to die", "they would all be better without me", "quiero morirme",
        "todos estarían mejor sin mí",
    ],
}  # fmt: skip

NOT_FOUND = [
    "grandpa's beard is rough on her cheek", "her brother is rough with his toys", "hand prints in paint on the card",
    "we made handprints with paint on her arm", "the nurse hurt her with the vaccine", "left finger marks on the window",
    "he hits the rattle with his good hand", "he hit me with his rattle lol", "she kicks me in the nappy change",
    "grandma shakes the rattle for her", "the sitter is not rough with her", "my boyfriend never hits the baby",
    "dad dropped her off at daycare", "does it hurt her when we stretch the arm", "he hit her toy drum",
    "I left her alone in her cot to nap while I did the dishes", "leave her arm alone", "she plays alone on the mat while I work",
    "I never leave her alone", "no milk left in the bottle, she drank it all", "ran out of milk for my coffee",
    "she does not want her milk", "face down on the mat for tummy time, 5 minutes", "we play peekaboo with a blanket over her face",
    "she lifts her face off the mat", "I never put a blanket near her face", "la abuela le pega a la pelota con ella",
    "jugamos con la manta en la cara, cucú", "el bebé me pega patadas cuando lo cambio", "el calor nos pega fuerte",
    "no leave until friday", "worked with the football hold 5 min", "the grip on his rattle is better",
]  # fmt: skip


@pytest.mark.parametrize(("text", "line"), [(text, line) for text, lines in FOUND.items() for line in lines])
def test_it_is_found_and_answered_by_its_own_text(text: str, line: str) -> None:
    concern = find(line).concern
    assert concern is not None and concern.urgency == "act_now"
    assert text in advice_for(concern)
    assert is_discreet(concern) == bool(DISCREET & set(advice_for(concern)))


@pytest.mark.parametrize("line", NOT_FOUND)
def test_what_only_sounds_like_it_is_not(line: str) -> None:
    found = find(line)
    topics = [
        *(found.concern.topics if found.concern else ()),
        *(found.unclear.topics if found.unclear else ()),
    ]
    assert [
        each
        for each in topics
        if each in ("harm_by_others", "unsafe_home", "left_alone", "no_milk", "found_face_down")
    ] == []


@pytest.mark.parametrize(
    "line", [line for text in ("carer_end", "carer_self_harm", "unsafe_home") for line in FOUND[text]]
)
def test_nobody_at_the_end_of_their_strength_is_told_to_stay_with_the_baby(line: str) -> None:
    concern = find(line).concern
    assert concern is not None
    assert "act_now" not in advice_for(concern)
