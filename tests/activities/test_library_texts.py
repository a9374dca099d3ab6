"""Every activity of our own library, in both languages."""

from __future__ import annotations

import re

import pytest

from bot.activities.library import load_library
from bot.activities.schema import Activity, ActivityText, placeholders_of
from tests.reading_grade import as_sentences, grade, words_in

IDS = [
    "tummy_time",
    "lap_tummy_time",
    "chest_tummy_time",
    "forearm_carry",
    "football_hold",
    "upright_carry",
    "supported_sitting",
    "side_lying",
    "rolling",
    "hand_to_mouth",
    "reaching",
    "touch_play",
    "head_turning",
    "gentle_range",
    "dressing",
    "bath",
]
LIBRARY = load_library()
PLAUSIBLE = {
    "en": {"nickname": "Pip", "weak_side": "left", "strong_side": "right", "side": "left"},
    "es": {"nickname": "Pip", "weak_side": "izquierdo", "strong_side": "derecho", "side": "izquierdo"},
}

each_text = pytest.mark.parametrize(
    ("activity", "language"), [(activity, language) for activity in IDS for language in ("en", "es")]
)
each_activity = pytest.mark.parametrize("activity", IDS)


def lines_by_field(text: ActivityText) -> dict[str, tuple[str, ...]]:
    found = {}
    for field in type(text).model_fields:
        value = getattr(text, field)
        found[field] = (value,) if isinstance(value, str) else value
    return found


def all_lines(activity: str, language: str) -> list[str]:
    return [line for lines in lines_by_field(LIBRARY[activity].text(language)).values() for line in lines]


def test_the_library_holds_the_sixteen_activities_of_the_plan() -> None:
    assert sorted(LIBRARY) == sorted(IDS)


@each_activity
def test_both_languages_tell_the_same_story_line_by_line(activity: str) -> None:
    counts = {
        language: {
            field: len(lines) for field, lines in lines_by_field(LIBRARY[activity].text(language)).items()
        }
        for language in ("en", "es")
    }

    assert counts["en"] == counts["es"]


@each_activity
def test_the_steps_and_cues_name_sides_alike_in_both_languages(activity: str) -> None:
    def sides(language: str) -> list[list[object] | list[str]]:
        text = LIBRARY[activity].text(language)
        return [
            sorted(set(placeholders_of(line)) - {"nickname"})
            for line in (*text.steps, *text.cues, *text.hands, *text.stop_signs)
        ]

    assert sides("en") == sides("es")


@each_text
def test_a_step_is_one_short_line(activity: str, language: str) -> None:
    steps = LIBRARY[activity].text(language).steps

    assert len(steps) <= 6
    assert max(len(words_in(step)) for step in steps) <= 13


@each_text
def test_there_are_several_cues_and_at_least_three_stop_signs(activity: str, language: str) -> None:
    text = LIBRARY[activity].text(language)

    assert len(text.cues) >= 4
    assert len(text.stop_signs) >= 3


@pytest.mark.parametrize("language", ["en", "es"])
def test_names_fit_a_button_and_are_unique(language: str) -> None:
    names = [LIBRARY.name(activity, language) for activity in IDS]

    assert max(map(len, names)) <= 24
    assert len({name.casefold() for name in names}) == len(IDS)


@each_text
def test_every_line_reads_at_grade_six_or_lower(activity: str, language: str) -> None:
    too_hard = {}
    for line in all_lines(activity, language):
        sentence = as_sentences(line.format_map(PLAUSIBLE[language]))
        # Under five words one long word alone decides; those lines are judged with the whole text below.
        if len(words_in(sentence)) >= 5 and grade(sentence, language) > 6:
            too_hard[line] = grade(sentence, language)

    assert too_hard == {}


@each_text
def test_the_whole_text_reads_at_grade_six_or_lower(activity: str, language: str) -> None:
    whole = as_sentences(*(line.format_map(PLAUSIBLE[language]) for line in all_lines(activity, language)))

    assert grade(whole, language) <= 6


CLAIMS = {
    "en": r"\bwill (heal|recover|improve|get better|be fine)|\bcure|\bheal|\brecover|diagnos|palsy|injur|plexus|\bnerve"
    r"|paraly|\bnormal|don't worry|no need to",
    "es": r"\bva a (sanar|mejorar|estar bien)|\bcura|\bsanar|recupera|diagn[oó]stic|par[aá]lisis|lesi[oó]n|plexo|nervio"
    r"|\bnormal|no te preocupes|no hace falta",
}


@each_text
def test_no_text_names_a_diagnosis_promises_a_recovery_or_reassures(activity: str, language: str) -> None:
    claims = [
        line for line in all_lines(activity, language) if re.search(CLAIMS[language], line, re.IGNORECASE)
    ]

    assert claims == []


def proper_names(line: str) -> list[str]:
    """Return the words that start with a capital and open no sentence."""
    sentences = re.split(r"[.?!:]\s+|[¿¡]", line)
    return [word for sentence in sentences for word in sentence.split()[1:] if word[0].isupper()]


@each_text
def test_no_text_holds_a_proper_name_such_as_a_brand(activity: str, language: str) -> None:
    assert [name for line in all_lines(activity, language) for name in proper_names(line)] == []


def test_a_proper_name_would_be_found() -> None:
    assert proper_names("Put the Fluffo cushion down. Then wait.") == ["Fluffo"]


GENDERED = {
    "en": r"\b(he|she|him|her|his|hers)\b",
    "es": r"\b(despiert|cansad|dormid|acostad|sentad|tranquil|solit|quiet|content|niñ)[oa]s?\b|\bnuestr[oa] bebé",
}


@each_text
def test_no_text_guesses_whether_the_baby_is_a_boy_or_a_girl(activity: str, language: str) -> None:
    gendered = [
        line for line in all_lines(activity, language) if re.search(GENDERED[language], line, re.IGNORECASE)
    ]

    assert gendered == []


@each_activity
def test_spanish_side_words_follow_a_masculine_noun_that_they_agree_with(activity: str) -> None:
    for line in all_lines(activity, "es"):
        for noun in re.findall(r"(\S+) \{(?:weak_side|strong_side|side)\}", line):
            assert noun.lower() in {"lado", "brazo", "codo", "hombro", "antebrazo"}, line


@each_activity
def test_english_side_words_stand_before_a_noun(activity: str) -> None:
    for line in all_lines(activity, "en"):
        for noun in re.findall(r"\{(?:weak_side|strong_side|side)\} ?([a-z]*)", line):
            assert noun in {"side", "arm", "elbow", "hand", "shoulder", "forearm"}, line


def stop_text(activity: str, language: str) -> str:
    return " ".join(LIBRARY[activity].text(language).stop_signs)


@pytest.mark.parametrize("activity", [activity for activity in IDS if LIBRARY[activity].prone])
def test_a_baby_asleep_on_the_front_goes_onto_the_back_and_the_timer_ends(activity: str) -> None:
    assert re.search(r"asleep: .*\bback\b.*end the timer", stop_text(activity, "en"))
    assert re.search(r"duerme: boca arriba, detén el reloj", stop_text(activity, "es"))


def test_the_activities_on_the_front_are_the_four_that_count_as_tummy_time() -> None:
    assert {activity for activity in IDS if LIBRARY[activity].prone} == {
        "tummy_time", "lap_tummy_time", "chest_tummy_time", "forearm_carry",
    }  # fmt: skip


@each_activity
def test_every_stop_list_names_a_change_of_colour_or_a_loss_of_head_control(activity: str) -> None:
    assert "colour" in stop_text(activity, "en")
    assert "color" in stop_text(activity, "es")


@each_activity
def test_every_stop_list_names_hard_breathing_and_falling_asleep(activity: str) -> None:
    """The nerve that moves the breathing muscle may be hurt too: common practice, no source."""
    assert "breathing is hard" in stop_text(activity, "en")
    assert "le cuesta respirar" in stop_text(activity, "es")
    assert re.search(r"asleep: .*\b(back|cot)\b", stop_text(activity, "en"))
    assert re.search(r"se duerme: .*boca arriba", stop_text(activity, "es"))


def close_to_the_body_or_the_floor(known: Activity) -> bool:
    """Say whether the face may be pressed against something: on the front, or held against the carer."""
    return known.prone or (
        "held" in known.positions and {"upright", "side_lying"} & set(known.positions) != set()
    )


@pytest.mark.parametrize("activity", [each for each in IDS if close_to_the_body_or_the_floor(LIBRARY[each])])
def test_a_hold_in_which_the_face_may_be_covered_says_so(activity: str) -> None:
    assert re.search(r"nose .*is covered", stop_text(activity, "en"))
    assert re.search(r"se (le )?tapa la nariz", stop_text(activity, "es"))


@pytest.mark.parametrize("activity", ["reaching", "hand_to_mouth"])
def test_an_easier_way_on_the_side_has_the_weak_arm_on_top(activity: str) -> None:
    assert re.search(
        r"on the (\{strong_side\} )?side, (with the reaching arm on top|so that)", LIBRARY[activity].en.easier
    )
    assert "{strong_side}" in LIBRARY[activity].en.easier or "on top" in LIBRARY[activity].en.easier
    assert "{strong_side}" in LIBRARY[activity].es.easier or "arriba" in LIBRARY[activity].es.easier


def test_rolling_at_a_nappy_change_is_on_the_floor() -> None:
    assert "on the floor, at a nappy change too" in LIBRARY["rolling"].en.set_up[0]
    assert "en el piso, también al cambiar el pañal" in LIBRARY["rolling"].es.set_up[0]


@pytest.mark.parametrize(
    "activity",
    ["tummy_time", "lap_tummy_time", "chest_tummy_time", "forearm_carry", "upright_carry", "dressing"],
)
def test_a_hold_that_begins_with_a_roll_names_the_strong_side_so_that_the_weak_arm_is_on_top(
    activity: str,
) -> None:
    assert re.search(r"[Rr]oll (over|onto) the \{strong_side\} side", " ".join(all_lines(activity, "en")))
    assert re.search(r"[Gg]ira (por|sobre) el lado \{strong_side\}", " ".join(all_lines(activity, "es")))


@pytest.mark.parametrize("activity", ["football_hold", "side_lying", "rolling"])
def test_a_hold_that_may_lie_on_either_side_brings_the_weak_arm_in_front_first(activity: str) -> None:
    for language, said in (
        ("en", r"the \{weak_side\} arm (in front\. Roll|comes in front first)"),
        ("es", r"brazo \{weak_side\} (al frente\. Gira|va antes al frente)"),
    ):
        text = LIBRARY[activity].text(language)
        assert re.search(said, " ".join(text.set_up + text.steps + text.hands), re.IGNORECASE), language


def test_the_body_is_steadied_by_the_chest_and_never_by_the_weak_shoulder_when_the_head_turns() -> None:
    for language, shoulder, chest in (
        ("en", "shoulder", "flat on the chest"),
        ("es", "hombro", "plana en el pecho"),
    ):
        text = LIBRARY["head_turning"].text(language)
        assert not any(shoulder in line for line in text.steps + text.hands)
        assert any(chest in line for line in text.hands)
        assert any(shoulder in line and "{weak_side}" in line for line in text.mistakes)


def test_the_bath_supports_before_it_washes_and_keeps_a_hand_on_the_baby() -> None:
    for language, support, wash, held in (
        ("en", "forearm", "wash", "One hand is always on {nickname}"),
        ("es", "antebrazo", "lava", "Una mano está siempre en {nickname}"),
    ):
        text = LIBRARY["bath"].text(language)
        supported = next(place for place, step in enumerate(text.steps) if support in step)
        washed = next(place for place, step in enumerate(text.steps) if wash in step)
        assert supported < washed
        assert any(line.startswith(held) for line in text.hands)


def test_reaching_in_sitting_waits_for_head_control() -> None:
    assert any("Sit only if the head stays up" in line for line in LIBRARY["reaching"].en.set_up)


def test_gentle_range_is_only_for_carers_whom_the_therapist_taught() -> None:
    for language, said in (
        ("en", "Only .* your therapist .*taught you"),
        ("es", "Solo si tu terapeuta te enseñó"),
    ):
        text = LIBRARY["gentle_range"].text(language)
        assert re.match(said, text.set_up[0])
        assert re.match(said, text.brief[0])


@each_activity
def test_every_stop_list_names_pain_or_crying(activity: str) -> None:
    assert re.search(r"hurts|crying|pain", stop_text(activity, "en"))
    assert re.search(r"duele|llora", stop_text(activity, "es"))


@pytest.mark.parametrize(
    "activity", ["lap_tummy_time", "forearm_carry", "football_hold", "upright_carry", "bath"]
)
def test_whatever_lifts_the_baby_warns_of_lifting_by_the_arms_or_armpits(activity: str) -> None:
    assert "armpits" in " ".join(all_lines(activity, "en"))
    assert "axilas" in " ".join(all_lines(activity, "es"))


@pytest.mark.parametrize("activity", ["lap_tummy_time", "forearm_carry", "football_hold", "upright_carry"])
def test_every_carry_says_that_the_arm_never_hangs(activity: str) -> None:
    assert re.search(r"\bhangs?\b", " ".join(LIBRARY[activity].en.hands + LIBRARY[activity].en.cues))
    assert re.search(r"\bcuelga\b", " ".join(LIBRARY[activity].es.hands + LIBRARY[activity].es.cues))


def test_only_gentle_range_waits_for_the_therapist_to_switch_it_on() -> None:
    assert [activity for activity in IDS if LIBRARY[activity].only_if_switched_on] == ["gentle_range"]


def test_gentle_range_gives_no_dose_of_its_own() -> None:
    doses = r"\d|\btimes\b|\btwice\b|\b(two|three|four|five|dos veces|tres|cuatro|cinco)\b"
    lines = all_lines("gentle_range", "en") + all_lines("gentle_range", "es")

    assert [line for line in lines if re.search(doses, line)] == []


def test_dressing_puts_the_affected_arm_in_first_and_takes_it_out_last() -> None:
    named = [placeholders_of(step) for step in LIBRARY["dressing"].en.steps]

    assert [names[0] for names in named if names] == [
        "weak_side", "weak_side", "strong_side", "strong_side", "weak_side",
    ]  # fmt: skip


@each_activity
def test_every_activity_awaits_its_review_and_names_its_sources(activity: str) -> None:
    known: Activity = LIBRARY[activity]

    assert known.review.status == "needs review by a licensed therapist"
    for source in known.sources.model_dump().values():
        assert re.search(r"common practice, no source|\b(19|20)\d\d\b|AAP|East Kent", source)
