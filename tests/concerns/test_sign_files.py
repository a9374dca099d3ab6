"""The data files: what ships is complete and reviewed, and a clinic's slip gets one clear sentence."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from bot.concerns.loading import SignsError, load_rules, shipped_rules
from bot.concerns.reader import Reader

SHIPPED = Path(__file__).parents[2] / "bot" / "concerns" / "signs"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(SHIPPED, tmp_path / "signs"))


def change(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_every_sign_has_wordings_source_and_review() -> None:
    signs = shipped_rules().signs
    assert len(signs) >= 40
    for sign in signs.values():
        assert sign.near or (sign.en and sign.es)
        assert sign.source
        assert "sign-off" in sign.sign_off


def test_every_urgency_of_the_trade_has_signs() -> None:
    assert {sign.urgency for sign in shipped_rules().signs.values()} >= {
        "act_now",
        "same_day",
        "tell_therapist",
    }


@pytest.mark.parametrize(
    ("name", "old", "new", "sentence"),
    [
        ("colour.toml", 'urgency = "act_now"', 'urgency = "at_once"', "colour.toml: sign[0].urgency: "),
        ("colour.toml", "reviewed = 2026-11-25", 'reviewed = "soon"', "colour.toml: sign[0].reviewed: "),
        ("colour.toml", "@colour_part", "@no_such_set", "there is no word set 'no_such_set'"),
        ("colour.toml", "[sign.sets]", "[sign.sets]\narm = []", "there is already a word set 'arm'"),
        ("colour.toml", "[[sign]]", "[[sign]", "colour.toml: this is not TOML: "),
        ("colour.toml", 'id = "pale"', 'id = "blue_or_grey"', "the sign 'blue_or_grey' is there twice"),
        ("falls_and_head.toml", '  ["fall", ', '  ["tumble_off", ', "names 'tumble_off', which is no sign"),
        ("temperature.toml", "at_least = 38.0", "at_least = 100.4", "temperature.toml: fever[0].at_least: "),
        ("words_body.toml", "arm = [\n", 'arm = [\n  "@nowhere",\n', "'@nowhere', which does not exist"),
        ("words_body.toml", "arm = [\n", 'arm = [\n  "@limb",\n', "holds itself"),
        (
            "words_around.toml",
            "\npolite = [",
            "\nimpolite = [",
            "words_*.toml: there is no word set 'polite'",
        ),
        (
            "words_around.toml",
            "\nneg_long = [",
            "\nneg_longer = [",
            "words_*.toml: there is no word set 'neg_long'",
        ),
    ],
)
def test_a_slip_gets_a_sentence_that_names_its_place(
    folder: Path, name: str, old: str, new: str, sentence: str
) -> None:
    change(folder, name, old, new)
    with pytest.raises(SignsError) as caught:
        load_rules(folder)
    assert any(sentence in problem for problem in caught.value.problems), caught.value.problems


def test_a_missing_file_is_named(folder: Path) -> None:
    (folder / "temperature.toml").unlink()
    with pytest.raises(SignsError, match=r"temperature.toml: the file is missing"):
        load_rules(folder)


def test_several_slips_are_all_named(folder: Path) -> None:
    change(folder, "colour.toml", 'urgency = "act_now"', 'urgency = "at_once"')
    change(folder, "falls.toml", 'urgency = "same_day"', 'urgency = "later"')
    with pytest.raises(SignsError) as caught:
        load_rules(folder)
    assert {problem.split(":")[0] for problem in caught.value.problems} == {"colour.toml", "falls.toml"}


def test_a_clinic_can_add_a_sign_and_change_an_urgency(folder: Path) -> None:
    (folder / "clinic.toml").write_text(
        '[[sign]]\nid = "cast_wet"\nurgency = "same_day"\nadvice = "same_day"\nsource = "the clinic"\nreviewed = 2026-11-25\n'
        'sign_off = "signed off"\nen = ["cast ..2 wet|soggy"]\nes = ["yeso ..2 mojado"]\n',
        encoding="utf-8",
    )
    change(
        folder, "colour.toml", 'id = "pale"\nurgency = "same_day"', 'id = "pale"\nurgency = "tell_therapist"'
    )
    reader = Reader(load_rules(folder))
    wet = reader.read("her cast got wet", age_weeks=14, affected_side="left").concern
    pale = reader.read("she looks pale", age_weeks=14, affected_side="left").concern
    assert wet is not None
    assert "cast_wet" in wet.topics
    assert pale is not None
    assert pale.urgency == "tell_therapist"
