"""Who did something: one spelling is written, and every spelling that earlier versions wrote is read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.domain.actor import CASELOAD_FILE, SERVER, Actor
from bot.domain.ids import CarerId, TherapistId

IDS = st.from_regex(r"[A-Za-z0-9_.-]{1,40}", fullmatch=True)  # what the caseload file lets an id be
ACTORS = st.one_of(
    st.sampled_from((CASELOAD_FILE, SERVER)), st.builds(Actor.therapist, IDS), st.builds(Actor.carer, IDS)
)


@given(actor=ACTORS)
def test_an_actor_is_read_back_as_written_and_fits_its_column(actor: Actor) -> None:
    assert Actor.from_stored(actor.stored) == actor
    assert len(actor.stored) <= 64


@pytest.mark.parametrize(
    ("stored", "actor"),
    [
        ("t1", Actor.therapist(TherapistId("t1"))),
        ("therapist:t1", Actor.therapist(TherapistId("t1"))),
        ("carer:c1", Actor.carer(CarerId("c1"))),
        ("carer:f1/c1", Actor.carer(CarerId("c1"))),
        ("file", CASELOAD_FILE),
        (None, CASELOAD_FILE),
        ("server", SERVER),
    ],
)
def test_every_spelling_of_an_earlier_version_is_read(stored: str | None, actor: Actor) -> None:
    assert Actor.from_stored(stored) == actor


@pytest.mark.parametrize("stored", ["", "carer:", "therapist:", "carer:f1/", "nurse:n1"])
def test_what_no_version_has_written_is_refused(stored: str) -> None:
    with pytest.raises(ValueError, match="names nobody"):
        Actor.from_stored(stored)
