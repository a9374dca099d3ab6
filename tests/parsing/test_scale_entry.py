"""A therapist's short line of grades, read without guessing."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.digest.clinic import ACTIVE_MOVEMENTS
from bot.digest.movements import NAMES, movement_from, movement_name
from bot.parsing.scale_scores import EntryProblem, read_scale_entry

TODAY = date(2026, 3, 12)


@pytest.mark.parametrize(
    ("text", "scale", "grades", "on"),
    [
        ("ams elbow flexion 4, shoulder abduction 3", "ams", {"elbow_flexion": 4, "shoulder_abduction": 3}, TODAY),
        ("AMS: elbow flex 6; wrist ext=2\nthumb flexion: 0", "ams", {"elbow_flexion": 6, "wrist_extension": 2, "thumb_flexion": 0}, TODAY),
        ("ams shoulder ext rot 1, sup 2, on 2026-03-05", "ams", {"shoulder_external_rotation": 1, "forearm_supination": 2}, date(2026, 3, 5)),
        ("ams flexión de codo 4, rotación interna del hombro 5, el 2026-03-05", "ams", {"elbow_flexion": 4, "shoulder_internal_rotation": 5}, date(2026, 3, 5)),
        ("ams elbow flexion 4/6", "ams", {"elbow_flexion": 6}, TODAY),
        ("toronto elbow flexion 4, elbow extension 7, wrist extension 3, finger extension 2, thumb extension 0", "toronto",
         {"elbow_flexion": 4, "elbow_extension": 7, "wrist_extension": 3, "finger_extension": 2, "thumb_extension": 0}, TODAY),
    ],
)  # fmt: skip
def test_a_line_of_grades_is_read(text: str, scale: str, grades: dict[str, int], on: date) -> None:
    entry = read_scale_entry(text, today=TODAY)

    assert (entry.scale, entry.grades, entry.on) == (scale, grades, on)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("elbow flexion 4", "no_scale"),
        ("ams", "no_grades"),
        ("ams elbow 4", "not_read"),
        ("ams flexion 4", "not_read"),
        ("ams elbow flexion", "not_read"),
        ("ams elbow flexion four", "not_read"),
        ("ams elbow flexion good 4", "not_read"),
        ("ams elbow rotation 4", "not_read"),
        ("ams elbow flexion 4 5", "not_read"),
        ("ams elbow flexion 8", "out_of_range"),
        ("ams elbow flexion 5/6", "out_of_range"),
        ("ams elbow flexion 4/4", "out_of_range"),
        ("ams elbow flexion 3/5", "gravity"),
        ("ams elbow flexion 0/7", "gravity"),
        ("ams elbow flexion 4, elbow flexion 5", "twice"),
        ("toronto elbow flexion 4", "toronto_missing"),
        ("ams elbow flexion 4 on 2026-03-32", "date"),
        ("ams elbow flexion 4 on 2026-03-13", "future"),
    ],
)
def test_a_line_that_is_open_or_breaks_the_scale_is_refused_with_its_reason(text: str, kind: str) -> None:
    with pytest.raises(EntryProblem) as problem:
        read_scale_entry(text, today=TODAY)

    assert problem.value.kind == kind


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("movement", ACTIVE_MOVEMENTS)
def test_every_movement_is_read_back_from_the_name_it_is_shown_by(movement: str, language: str) -> None:
    assert movement_from(movement_name(movement, language)) == movement


def test_every_movement_of_the_scale_has_a_name() -> None:
    assert tuple(NAMES) == ACTIVE_MOVEMENTS


@given(st.text(max_size=80).map(lambda text: f"ams {text}"))
def test_any_line_at_all_is_an_entry_within_the_scale_or_a_clear_problem(text: str) -> None:
    try:
        entry = read_scale_entry(text, today=TODAY)
    except EntryProblem:
        return
    assert all(0 <= grade <= 7 for grade in entry.grades.values())
