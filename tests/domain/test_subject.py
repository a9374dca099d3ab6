"""What a message is about: read back as it was written, and nothing made of what is no subject."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.domain.ids import CarerId, FamilyId
from bot.domain.subject import NumberedKind, SingleKind, Subject

IDS = st.from_regex(r"[A-Za-z0-9_.-]{1,40}", fullmatch=True)
NUMBERED = st.builds(Subject.of, st.sampled_from(get_args(NumberedKind)), st.integers(1, 2**63 - 1))
THREADS = st.builds(Subject.of, st.sampled_from(("concern", "question", "letter")), st.integers(1, 2**63 - 1))
SUBJECTS = st.one_of(
    NUMBERED,
    st.builds(Subject, st.sampled_from(get_args(SingleKind))),
    st.builds(Subject.card, IDS),
    st.builds(Subject.family, IDS, st.none() | IDS),
    st.builds(Subject.answer_in, THREADS),
)


@given(subject=SUBJECTS)
def test_a_subject_is_read_back_as_written(subject: Subject) -> None:
    assert Subject.from_stored(subject.stored) == subject


@given(family=IDS, carer=st.none() | IDS)
def test_a_family_names_its_carer_or_all_of_them(family: str, carer: str | None) -> None:
    read = Subject.from_stored(
        Subject.family(FamilyId(family), None if carer is None else CarerId(carer)).stored
    )
    assert read is not None
    assert (read.family_id, read.carer_id) == (family, carer)


@given(thread=THREADS)
def test_an_answer_leads_back_to_what_its_thread_began_with(thread: Subject) -> None:
    assert Subject.answer_in(thread).thread == thread


@pytest.mark.parametrize(
    ("stored", "kind", "key"),
    [
        ("reminder:12", "reminder", "12"),
        ("answer:letter:5", "answer", "letter:5"),
        ("family:f1/", "family", "f1/"),
        ("card:tummy_time", "card", "tummy_time"),
        ("erased", "erased", ""),
        ("load", "load", ""),
    ],
)
def test_what_earlier_versions_wrote_is_read(stored: str, kind: str, key: str) -> None:
    read = Subject.from_stored(stored)
    assert read is not None
    assert (read.kind, read.key, read.stored) == (kind, key, stored)


@pytest.mark.parametrize(
    "stored", [None, "", "reminder:", "reminder:x", "concern:²", "weather:3", "digest:1", "card:"]
)
def test_what_names_nothing_known_is_no_subject(stored: str | None) -> None:
    assert Subject.from_stored(stored) is None
