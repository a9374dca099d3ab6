"""A sleep that is not safe is heard, however it is said."""

from __future__ import annotations

import pytest

from bot.parsing.sleep import speaks_of_unsafe_sleep, told_beside_sleep

UNSAFE = [
    "She fell asleep on her tummy and I left her there", "asleep on my chest", "he fell asleep on me on the sofa",
    "can she sleep on her tummy?", "is it ok if she naps in her swing", "she sleeps better with a pillow under her arm",
    "he dozed off in the carrier", "slept in the car seat all afternoon", "napping in the football carry",
    "asleep with a rolled towel at her side", "she sleeps on her left side now", "fell asleep during tummy time",
    "she's napping in our bed", "he is asleep in my arms", "we let him sleep in the bouncer", "she slept in a nest",
    "se durmió boca abajo y la dejé", "duerme en mi pecho", "¿puede dormir boca abajo?", "se quedó dormido en el sofá",
    "lo acuesto de ladito con una cobija enrollada para que no se mueva", "a pillow at his back so he stays on his side overnight",
    "I put a rolled towel behind her so that she can't turn over", "toda la noche con un cojín a cada lado", "dormida en el portabebés", "duerme con una almohada", "duerme con su cobijita y un peluchito", "le pusimos una almohadita para la cabeza plana",
    "we put a little pillow under his head for the flat spot", "la siesta fue en el columpio",
]  # fmt: skip
SAFE = [
    "asleep", "she sleeps on her back in her cot", "10 min tummy time", "she never sleeps on her tummy", "he does not sleep on the sofa",
    "slept well. 5 min tummy time later", "durmió bien", "10 min boca abajo", "nunca duerme boca abajo", "sleeps without a pillow",
    "nap first, then a bath", "fussy on the sofa, 5 min lap",
]  # fmt: skip


@pytest.mark.parametrize("text", UNSAFE)
def test_a_sleep_that_is_not_safe_is_heard(text: str) -> None:
    assert speaks_of_unsafe_sleep(text)


@pytest.mark.parametrize("text", SAFE)
def test_any_other_sleep_or_place_is_not(text: str) -> None:
    assert not speaks_of_unsafe_sleep(text)


@pytest.mark.parametrize(
    ("text", "before", "rest"),
    [
        ("Durmió boca abajo 2 horas", "", ""),
        ("she slept on my chest for 90 min", "", ""),
        ("10 min tummy time, then she fell asleep on her tummy", "10 min tummy time", "10 min tummy time"),
        ("10 min boca abajo y se durmió en mi pecho", "10 min boca abajo", "10 min boca abajo"),
        ("she only naps on her belly, 2 hours today", "", "2 hours today"),
    ],
)
def test_how_long_a_sleep_was_is_told_apart_from_what_was_done(text: str, before: str, rest: str) -> None:
    assert told_beside_sleep(text) == (before, rest)
