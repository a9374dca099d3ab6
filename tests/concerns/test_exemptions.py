"""Every exemption earns its place: what it excuses is no sign for its sake alone, and beside its words a sign is still raised."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import pytest

from bot.concerns.finding import URGENCIES
from bot.concerns.loading import shipped_rules
from bot.concerns.patterns import Pattern
from bot.concerns.reader import Reader, shipped_reader
from bot.concerns.schema import SignEntry, Unless
from bot.concerns.text import split

RULES = shipped_rules()


def exemptions() -> Iterator[tuple[SignEntry, int, Unless]]:
    for sign in RULES.signs.values():
        for place, unless in enumerate(sign.unless):
            yield sign, place, unless


def standing(reader: Reader, text: str) -> set[str]:
    """Return the signs that stand; one of the weak arm is told by another name where the arm was so from birth."""
    seen = reader.read(text, age_weeks=14, affected_side="right").seen
    return {name for name in seen if name.endswith(" stands")}


def without(sign: SignEntry, place: int) -> Reader:
    """Return a reader without one exemption."""
    kept = tuple(each for at, each in enumerate(RULES.unless[sign.id]) if at != place)
    unless: Mapping[str, tuple[Pattern, ...]] = {**RULES.unless, sign.id: kept}
    return Reader(replace(RULES, unless=unless))


ALL = [pytest.param(*each, id=f"{each[0].id}: {each[2].words}") for each in exemptions()]


@pytest.mark.parametrize(("sign", "place", "unless"), ALL)
def test_what_it_excuses_would_be_a_sign_without_it(sign: SignEntry, place: int, unless: Unless) -> None:
    excused = standing(shipped_reader(), unless.excuses)

    assert f"{sign.id} stands" not in excused
    assert standing(without(sign, place), unless.excuses) - excused


@pytest.mark.parametrize(("sign", "place", "unless"), ALL)
def test_beside_its_words_a_sign_as_grave_is_still_raised(
    sign: SignEntry, place: int, unless: Unless
) -> None:
    words = RULES.vocabulary.encode(split(unless.raises).text)
    assert RULES.unless[sign.id][place].regex.search(words), "the message does not hold the words"

    raised = shipped_reader().read(unless.raises, age_weeks=14, affected_side="right").concern

    least = "same_day" if sign.urgency == "hint" else sign.urgency
    assert raised is not None
    assert URGENCIES.index(raised.urgency) <= URGENCIES.index(least)
