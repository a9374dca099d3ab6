"""Sixty messages of distress, harm, an unsafe home, pain, sleep, feeding and travel, in words written for this table alone.

For each the class of what follows is told, by the rules that the running bot decides by: which kind of text answers, whether the
therapist is told at once, whether anything may show to others at home, and whether the arm is held the next day. "asked" is a
question about it, with the number to call, forwarded when nobody answers. Misses that are known are marked, none is left out.
"""

from __future__ import annotations

import pytest

from bot.concerns.advice import DISCREET, is_discreet
from bot.concerns.finding import Concern
from bot.domain.ids import MessageId
from bot.features.concerns.effects import Advise, AskWhether, HoldArm, NotifyTherapists
from bot.features.concerns.rules import ConcernEffect, decide_ask, decide_raise
from bot.parsing.sleep import speaks_of_unsafe_sleep
from tests.features.concerns.cases import NOW
from tests.replies.said import read

OWN_TEXTS = {"carer_self_harm", "carer_end", "carer_distress"}
MEDICAL = {"act_now", "same_day", "found_face_down"}
MISSED = pytest.mark.xfail(strict=True, reason="no wording covers it yet")


def followed(text: str) -> tuple[Concern | None, tuple[ConcernEffect, ...]]:
    """Return the concern that stands or is asked about, and what is decided."""
    reading = read(text, language="es" if set(text) & set("áéíóúñ¿") else "en")
    if reading.concern is not None:
        return reading.concern, decide_raise([], MessageId(1), reading.concern)
    if reading.unclear is not None:
        return reading.unclear, decide_ask([], MessageId(1), reading.unclear, NOW)
    return None, ()


def texts_of(effects: tuple[ConcernEffect, ...]) -> set[str]:
    return {text for each in effects if isinstance(each, Advise) for text in each.texts}


def asked(effects: tuple[ConcernEffect, ...]) -> bool:
    return any(isinstance(each, AskWhether) for each in effects)


def told(effects: tuple[ConcernEffect, ...]) -> bool:
    return any(isinstance(each, NotifyTherapists) for each in effects)


CARER = [
    "I scared myself tonight, I squeezed her arm because she would not settle",
    "nobody would notice if I just disappeared, honestly",
    "I cannot stop crying and I feel nothing when I hold him",
    "I shook the cot so hard because she kept screaming and then I had to leave the room",
    "I want to sleep and not get up again ever",
    "I keep picturing dropping him down the stairs",
    "ya no puedo más con esto, lloro todo el día",
    "a veces pienso que mi bebé estaría mejor con otra mamá y yo bajo tierra",
    "anoche le grité y lo sacudí un poquito, tengo mucho miedo",
    "no siento nada por ella y no duermo hace días",
]
AT_HOME = [
    "her dad slapped her leg because she was crying",
    "my partner took my phone and locked us in yesterday",
    "I think the nanny pinches him, there are little round bruises",
    "he pushed me against the wall while I was holding the baby",
    "my mother in law yanks him up by the weak arm when I am out",
    "we are sleeping in the car since he threw us out",
    "there is no food left until Friday and I water the bottles down",
    "I have to leave him by himself for the night shift",
    "mi marido me empujó con la niña en brazos",
    "mi suegra le pega cuando yo no estoy",
    "tengo miedo de volver a casa con el bebé",
    "la dejo solita un par de horas mientras trabajo",
    "ya no nos alcanza para la leche y le doy agua",
]
ARM = [
    "she screams whenever the sleeve goes over her right arm",
    pytest.param("something clicked loudly in the shoulder and now he holds it still", marks=MISSED),
    "the arm is puffy and warm since the nap",
    "her hand went cold and purple",
    "he used to wiggle the fingers and since yesterday nothing",
    "he rolled off the sofa onto the weak arm",
    "the little arm hurts her when I lift it, she did not do that before",
    "le truena el hombro y llora mucho al moverlo",
    "el bracito se le hinchó desde ayer",
    "se cayó del cambiador sobre el brazo malo",
    "desde hoy no mueve los dedos que antes movía",
]
SLEEP = [
    "he slept the whole night on his belly next to me and liked it",
    "can she nap face down if I watch her from the kitchen?",
    "we both nodded off on the couch with her on my chest",
    "I put a rolled towel beside her in the cot so she stays on her side",
    "se durmió boca abajo en mi pecho en el sillón",
    "¿puede dormir de pancita con una almohada para el brazo?",
    pytest.param("lo acuesto de ladito con una cobija enrollada para que no se mueva", marks=MISSED),
    "she sleeps in the car seat all night because of the arm",
]
FEEDING = [
    "he has not had a wet nappy since last night",
    "she takes an hour for each bottle and falls asleep halfway",
    "he throws up green stuff after every feed",
    "she has had two sips all day and turns away",
    "no ha mojado el pañal desde anoche",
    "vomita todo y está muy dormido",
    "no quiere el pecho desde la mañana y está caliente",
    "he is not putting on weight says the health visitor",
]
NOW_SIGNS = [
    "her lips look grey when she cries",
    "he made a grunting sound with each breath all evening",
    "I cannot get her to wake up properly",
    "he stiffened and his eyes rolled back for a minute",
    "she swallowed a button battery I think",
    "se puso moradito y no respiraba bien",
    "tiene los ojos para arriba y se sacude",
    "no despierta aunque la muevo",
    "she slipped under the water in the bath but is fine now",
    "vomitó dos veces algo verde y está como ido",
]
CALM = [
    "we fly to Lisbon on Saturday for ten days, should I change the times?",
    "vamos a casa de mi mamá una semana, cambia el horario",
    "10 min of tummy time, she loved it",
    "hoy no hicimos nada, tuvimos visitas",
    "does the plan change when we are at the lake next week?",
]


@pytest.mark.parametrize("text", CARER)
def test_a_carer_at_the_end_of_their_strength_gets_a_text_of_their_own_or_is_asked(text: str) -> None:
    concern, effects = followed(text)
    assert concern is not None
    assert asked(effects) or (texts_of(effects) & OWN_TEXTS and told(effects))


@pytest.mark.parametrize("text", AT_HOME)
def test_harm_at_home_shows_nothing_to_others_and_reaches_the_therapist(text: str) -> None:
    concern, effects = followed(text)
    assert concern is not None
    if asked(effects):
        return  # the question names no sign
    assert is_discreet(concern) and told(effects)
    # What is shown at once is for an ill baby or a parent at the end; the rest comes once it is opened.
    assert texts_of(effects) & DISCREET
    assert texts_of(effects) <= DISCREET | MEDICAL | OWN_TEXTS


@pytest.mark.parametrize("text", ARM)
def test_an_arm_that_may_be_hurt_is_held_and_told(text: str) -> None:
    concern, effects = followed(text)
    assert concern is not None
    if asked(effects):
        assert any(topic.startswith("arm") or topic == "learned" for topic in concern.topics)
        return  # and held when nobody answers
    assert texts_of(effects) & MEDICAL and told(effects)
    assert any(isinstance(each, HoldArm) for each in effects)


@pytest.mark.parametrize("text", SLEEP)
def test_a_sleep_that_is_not_safe_gets_the_fixed_words(text: str) -> None:
    assert speaks_of_unsafe_sleep(text)


@pytest.mark.parametrize("text", FEEDING)
def test_trouble_with_feeding_is_for_today_or_now(text: str) -> None:
    concern, effects = followed(text)
    assert concern is not None
    assert asked(effects) or (texts_of(effects) & MEDICAL and told(effects))


@pytest.mark.parametrize("text", NOW_SIGNS)
def test_signs_of_danger_get_the_text_for_now(text: str) -> None:
    concern, effects = followed(text)
    assert concern is not None and concern.urgency == "act_now"
    assert "act_now" in texts_of(effects) and told(effects)


@pytest.mark.parametrize("text", CALM)
def test_a_trip_or_a_day_as_usual_raises_nothing(text: str) -> None:
    assert followed(text) == (None, ())
    assert not speaks_of_unsafe_sleep(text)
