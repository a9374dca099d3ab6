"""What of a reply is given back because nothing in its reading accounts for it: whole clauses, in the carer's own words."""

from __future__ import annotations

import pytest

from tests.replies.said import read

READ_WHOLE = [
    ("en", "Luz did 5 min of tummy"),
    ("en", "we did a little bit of tummy on the rug, 6 min"),
    ("en", "ten minutes on her belly in the garden with grandad, thank you dear"),
    ("en", "asleep 😴"),
    ("en", "got 3 out of the 10"),
    ("en", "hour and a half of tummy on the lounge floor"),
    ("es", "Marisol hizo 5 minutos de pancita"),
    ("es", "pues hicimos un poquito, 4 minutos en la alfombrita, bendiciones"),
    ("es", "hecho, mi amor"),
    ("es", "lo tuvimos boca abajo 8 min en el patio"),
]
KEPT = [
    ("en", "10 min tummy, the cat threw up on the mat", "the cat threw up on the mat"),
    ("en", "my back is killing me but we did 10", "my back is killing me"),
    ("en", "8 min. Mum and dad are dead on their feet", "Mum and dad are dead on their feet"),
    ("en", "gave 5 ml of paracetamol, then 6 min of tummy", "gave 5 ml of paracetamol"),
    ("en", "the splint came loose. 5 min. He has a new tooth", "the splint came loose … He has a new tooth"),
    ("en", "we used the new splint for 10 min of tummy", "we used the new splint for 10 min of tummy"),
    ("es", "9 min, la férula le queda chica", "la férula le queda chica"),
    ("es", "le di sus gotas de vitamina y luego 3 min boca abajo", "le di sus gotas de vitamina"),
    ("es", "hoy no, la mamá avisó que trabaja doble turno", "la mamá avisó que trabaja doble turno"),
]


@pytest.mark.parametrize(("language", "text"), READ_WHOLE)
def test_names_places_degrees_and_politeness_are_accounted_for(language: str, text: str) -> None:
    assert read(text, "tummy", language).unread is None


@pytest.mark.parametrize(("language", "text", "kept"), KEPT)
def test_what_a_therapist_would_want_to_read_comes_back_as_whole_clauses(
    language: str, text: str, kept: str
) -> None:
    assert read(text, "tummy", language).unread == kept
