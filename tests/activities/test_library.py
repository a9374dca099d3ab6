from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from bot.activities.library import BadActivityFile, load_library
from bot.activities.schema import json_schema
from scheduling.sides import AffectedSide, Side

OURS = files("bot.activities").joinpath("texts")


def ours(activity: str) -> dict[str, Any]:
    written: dict[str, Any] = yaml.safe_load(OURS.joinpath(f"{activity}.yaml").read_text(encoding="utf-8"))
    return written


def write(folder: Path, content: dict[str, Any], name: str | None = None) -> None:
    text = yaml.safe_dump(content, allow_unicode=True)
    (folder / f"{name or content['activity']}.yaml").write_text(text, encoding="utf-8")


def problems_of(folder: Path) -> list[str]:
    with pytest.raises(BadActivityFile) as caught:
        load_library(folder)
    return caught.value.problems


def test_a_clinics_own_activity_is_added(tmp_path: Path) -> None:
    write(tmp_path, ours("bath") | {"activity": "mirror_play"})
    library = load_library(tmp_path)

    assert len(library) == 17
    assert library.name("mirror_play", "en") == "Bath"


def test_a_clinics_own_text_takes_the_place_of_ours(tmp_path: Path) -> None:
    content = ours("bath")
    content["en"]["name"] = "Bath in the sink"
    write(tmp_path, content)

    assert load_library(tmp_path).name("bath", "en") == "Bath in the sink"
    assert load_library().name("bath", "en") == "Bath"


def test_other_files_in_the_folder_are_passed_over(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("not an activity")

    assert len(load_library(tmp_path)) == 16


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    assert "nowhere: no such folder" in problems_of(tmp_path / "nowhere")[0]


def test_a_missing_field_is_named_with_its_file(tmp_path: Path) -> None:
    content = ours("bath")
    del content["es"]["stop_signs"]
    write(tmp_path, content)

    assert problems_of(tmp_path) == ["bath.yaml: es.stop_signs: Field required"]


def test_an_unknown_field_is_named(tmp_path: Path) -> None:
    write(tmp_path, ours("bath") | {"colour": "blue"})

    assert problems_of(tmp_path) == ["bath.yaml: colour: Extra inputs are not permitted"]


def test_an_unknown_placeholder_is_named_with_its_place_and_what_is_allowed(tmp_path: Path) -> None:
    content = ours("bath")
    content["en"]["steps"][2] = "Hold the {arm}."
    write(tmp_path, content)

    assert problems_of(tmp_path) == [
        "bath.yaml: en.steps[2]: {arm} is unknown; use {nickname}, {side}, {strong_side}, {weak_side}"
    ]


@pytest.mark.parametrize(
    "line", ["{nickname.__class__}", "{nickname!r}", "{side:>99999}", "{0}", "{}", "{nickname", "a } b"]
)
def test_a_template_that_is_more_than_plain_names_is_refused(tmp_path: Path, line: str) -> None:
    content = ours("bath")
    content["en"]["steps"][0] = line
    write(tmp_path, content)

    (problem,) = problems_of(tmp_path)
    assert problem.startswith("bath.yaml: en.steps[0]: ")


def test_seven_steps_are_refused(tmp_path: Path) -> None:
    content = ours("bath")
    content["en"]["steps"] += ["One more."]
    write(tmp_path, content)

    assert problems_of(tmp_path)[0].startswith("bath.yaml: en.steps: ")


def test_a_side_in_the_purpose_is_refused_since_it_may_show_on_a_lock_screen(tmp_path: Path) -> None:
    content = ours("bath")
    content["en"]["purpose"] = "For the {weak_side} arm."
    write(tmp_path, content)

    assert "lock screen" in problems_of(tmp_path)[0]


def test_cues_that_all_name_a_side_are_refused(tmp_path: Path) -> None:
    content = ours("bath")
    content["en"]["cues"] = ["The {side} side."] * 3
    write(tmp_path, content)

    assert "at least two must name no side" in problems_of(tmp_path)[0]


def test_a_text_changed_after_its_review_is_refused(tmp_path: Path) -> None:
    reviewed = {
        "status": "reviewed by a licensed therapist", "by": "R. Quill", "on": "2026-01-02", "changed": "2026-02-03",
    }  # fmt: skip
    write(tmp_path, ours("bath") | {"review": reviewed})

    assert "changed since its review" in problems_of(tmp_path)[0]


def test_a_review_without_a_name_is_refused(tmp_path: Path) -> None:
    reviewed = {"status": "reviewed by a licensed therapist", "changed": "2026-02-03"}
    write(tmp_path, ours("bath") | {"review": reviewed})

    assert "must say by whom" in problems_of(tmp_path)[0]


def test_prone_must_agree_with_the_positions(tmp_path: Path) -> None:
    write(tmp_path, ours("tummy_time") | {"prone": False})

    assert "prone must be true exactly where" in problems_of(tmp_path)[0]


def test_a_clinic_cannot_make_gentle_range_start_without_its_therapist(tmp_path: Path) -> None:
    write(tmp_path, ours("gentle_range") | {"only_if_switched_on": False})

    assert problems_of(tmp_path) == [
        "gentle_range.yaml: only_if_switched_on: must stay true, since ours is taught and switched on by the therapist"
    ]


def test_a_file_called_otherwise_than_its_activity_is_refused(tmp_path: Path) -> None:
    write(tmp_path, ours("bath"), name="tub")

    assert problems_of(tmp_path) == ["tub.yaml: must be called bath.yaml, after its activity"]


def test_a_file_with_another_ending_is_not_passed_over_in_silence(tmp_path: Path) -> None:
    (tmp_path / "bath.yml").write_text(yaml.safe_dump(ours("bath")))

    assert problems_of(tmp_path) == ["bath.yml: must be called bath.yaml, after its activity"]


def test_broken_yaml_is_named_with_its_line(tmp_path: Path) -> None:
    (tmp_path / "bath.yaml").write_text("activity: bath\nen: [1, 2\n")

    assert problems_of(tmp_path)[0].startswith("bath.yaml: line 3: is not YAML: ")


@pytest.mark.parametrize("content", [b"", b"- 1\n- 2\n", b"\xff\xfe\x00", b"\x00"])
def test_a_file_that_holds_no_activity_gets_one_clear_sentence(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "bath.yaml").write_bytes(content)

    (problem,) = problems_of(tmp_path)
    assert problem.startswith("bath.yaml: ")
    assert "Traceback" not in problem


def test_every_problem_of_every_file_is_told_at_once(tmp_path: Path) -> None:
    for activity in ("bath", "rolling"):
        content = ours(activity)
        content["en"]["steps"] = []
        content["es"]["name"] = "x" * 25
        write(tmp_path, content)
    places = [problem.split(": ")[:2] for problem in problems_of(tmp_path)]

    assert places == [[f"{a}.yaml", place] for a in ("bath", "rolling") for place in ("en.steps", "es.name")]


def test_the_library_reads_as_a_mapping_and_names_an_unknown_id_in_words() -> None:
    library = load_library()

    assert library["bath"].activity == "bath"
    assert "mirror_play" not in library
    assert library.name("mirror_play", "en") == "mirror play"
    assert library.in_sentence("football_hold", "en") == "the football hold"
    assert library.in_sentence("bath", "es") == "el baño"


@given(
    nth=st.integers(0, 1000),
    activity=st.sampled_from(sorted(load_library())),
    language=st.sampled_from(["en", "es"]),
    affected=st.sampled_from(["left", "right", "both"]),
    side=st.sampled_from(["left", "right", None]),
)
def test_a_cue_is_one_short_line_that_can_stand_on_a_lock_screen(
    nth: int, activity: str, language: str, affected: AffectedSide, side: Side | None
) -> None:
    cue = load_library().cue(activity, language, nth, nickname="Pip", affected_side=affected, side=side)

    assert 0 < len(cue) <= 100
    assert "\n" not in cue
    assert "{" not in cue
    assert not any(word in cue for word in ("weak", "strong", "débil", "fuerte"))


def test_cues_follow_one_another_and_start_again() -> None:
    library = load_library()
    said = [
        library.cue("bath", "en", nth, nickname="Pip", affected_side="left", side=None) for nth in range(8)
    ]

    assert said[:4] == said[4:]
    assert len(set(said)) == 4


def test_a_cue_names_the_prompted_side() -> None:
    library = load_library()
    cues = {
        library.cue("head_turning", "es", nth, nickname="Pip", affected_side="both", side="right")
        for nth in range(5)
    }

    assert "Llega por el lado derecho para decir hola." in cues


def test_the_published_schema_is_the_one_that_files_are_read_by() -> None:
    published = files("bot.activities").joinpath("activity.schema.json").read_text(encoding="utf-8")

    assert published == json_schema(), "write it anew as bot/activities/README.md says"
