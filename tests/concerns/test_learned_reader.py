"""The learned reader: it asks where the rules raised less, raises nothing, and can be trained again to the same bits."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from importlib import resources

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.concerns.finding import LEARNED, Concern, Findings, Urgency
from bot.concerns.learned import model
from bot.concerns.learned.asking import with_question
from bot.concerns.learned.features import BUCKETS, features
from bot.concerns.learned.model import Judgement
from bot.concerns.reader import find_concerns
from bot.replies.reader import read_reply
from bot.replies.reading import ReplyContext
from tests.benchmarks.labelled import HELD_OUT, cases
from tests.training.lines import every_line, hash_of

MOST_BYTES = 1_500_000
CALM = Findings(None, None, ())
FOLDER = resources.files("bot.concerns.learned")


def judged(
    flags: Urgency | None, *, calm: bool = False, sure: bool = False, calmest: bool = False
) -> Judgement:
    flagged = flags is not None
    return Judgement(
        0.0,
        flags or "same_day",
        flagged=flagged,
        doubtful=flagged,
        sure=sure,
        calm=calm or calmest,
        calmest=calmest,
    )


@pytest.mark.parametrize("flagged", ["act_now", "same_day"])
def test_what_only_the_learned_reader_flags_is_asked_about_and_raises_nothing(flagged: Urgency) -> None:
    found = with_question(CALM, judged(flagged))

    assert found.concern is None
    assert found.unclear == Concern(flagged, (LEARNED,))


@pytest.mark.parametrize(
    ("raised", "flagged"), [("act_now", "act_now"), ("act_now", "same_day"), ("same_day", "same_day")]
)
def test_what_the_rules_raised_as_gravely_is_not_asked_about(raised: Urgency, flagged: Urgency) -> None:
    found = Findings(Concern(raised, ("fever",)), None, ())

    assert with_question(found, judged(flagged)) == found


@pytest.mark.parametrize("lesser", ["same_day", "tell_therapist"])
def test_a_lesser_concern_stays_and_the_graver_is_asked_about(lesser: Urgency) -> None:
    raised = Concern(lesser, ("still_weak",))

    found = with_question(Findings(raised, None, ()), judged("act_now"))

    assert found.concern == raised
    assert found.unclear == Concern("act_now", (LEARNED,))


def test_a_calm_message_is_not_asked_about() -> None:
    assert with_question(CALM, judged(None, calm=True)) == CALM


@pytest.mark.parametrize("raised", ["act_now", "same_day"])
def test_an_alarm_in_what_looks_calm_is_asked_about_first_and_never_dropped(raised: Urgency) -> None:
    alarm = Concern(raised, ("fever",))

    found = with_question(Findings(alarm, None, ()), judged(None, calm=True))

    assert found.concern is None
    assert found.unclear == alarm


@pytest.mark.parametrize("raised", ["act_now", "same_day"])
def test_the_calmest_alarm_that_words_explain_goes_to_the_therapist_without_a_question(
    raised: Urgency,
) -> None:
    alarm = Findings(Concern(raised, ("harm_by_others",)), None, (), explained=True)

    assert with_question(alarm, judged(None, calmest=True)) == replace(
        alarm, concern=Concern("tell_therapist", (LEARNED,))
    )
    assert with_question(alarm, judged(None, calm=True)).unclear == alarm.concern
    assert with_question(replace(alarm, explained=False), judged(None, calmest=True)).unclear == alarm.concern


@pytest.mark.parametrize(
    ("text", "explained"),
    [
        ("Nothing broken. Concussion. All clear Friday", True),
        ("my supervisor had a fit in the break room", True),
        ("there is blue ink on the jacket", True),
        ("she went stiff and shook", False),
        ("tiene la boca morada", False),
    ],
)
def test_words_that_explain_a_sign_are_known(text: str, explained: bool) -> None:
    assert find_concerns(text, age_weeks=14, affected_side="left").explained is explained


def test_an_urgency_that_a_table_gives_is_not_doubted() -> None:
    found = Findings(Concern("act_now", ("fever",)), None, (), exact=True)

    assert with_question(found, judged(None, calm=True)) == found


@pytest.mark.parametrize(
    ("text", "exact"),
    [
        ("38.4", True),
        ("her temperature is 39.5", True),
        ("tiene 38,6 de fiebre", True),
        ("feels very hot", True),
        ("did ten minutes of tummy time with grandma and then 38.4", False),
        ("38.4 and blue lips", False),
        ("ten minutes of tummy time", False),
    ],
)
def test_a_message_that_says_hardly_more_than_a_temperature_is_exact(text: str, exact: bool) -> None:
    assert find_concerns(text, age_weeks=9, affected_side="left").exact is exact


@pytest.mark.parametrize("sign", ["harm_by_others", "harm_to_self", "left_alone"])
def test_danger_by_people_and_to_the_carer_is_asked_about_however_calm_the_message_looks(sign: str) -> None:
    alarm = Concern("act_now", (sign,))

    found = with_question(Findings(alarm, None, ()), judged(None, calm=True))

    assert found.concern is None
    assert found.unclear == alarm


def test_signs_told_by_concept_are_raised_only_where_the_learned_reader_agrees() -> None:
    hinted = Findings(None, None, (), hinted=Concern("act_now", ("burnt_told",)))

    assert with_question(hinted, judged("act_now", sure=True)).concern == Concern("act_now", ("burnt_told",))
    assert with_question(hinted, judged("act_now")).concern is None
    assert with_question(hinted, judged(None, calm=True)).concern is None


def test_a_graver_sign_told_by_concept_goes_before_what_the_rules_raised() -> None:
    found = Findings(
        Concern("same_day", ("fall",)), None, (), hinted=Concern("act_now", ("fall_unwell_told",))
    )

    raised = with_question(found, judged("act_now", sure=True)).concern

    assert raised == Concern("act_now", ("fall_unwell_told", "fall"))


def test_what_is_for_the_therapist_alone_is_told_without_a_question() -> None:
    told = Findings(Concern("tell_therapist", ("still_weak",)), None, ())

    assert with_question(told, judged(None, calm=True)) == told


@given(st.text(max_size=400))
@settings(deadline=None)
def test_the_concern_of_the_rules_is_never_touched_whatever_the_text(text: str) -> None:
    seen = find_concerns(text, age_weeks=14, affected_side="left").seen
    found = with_question(CALM, model.shipped_model().judge(text, seen))

    assert found.concern is None
    assert found.spans == ()


@given(st.text(max_size=400))
@settings(deadline=None)
def test_any_text_has_features_within_the_table(text: str) -> None:
    assert all(0 <= place < BUCKETS for group in features(text) for place in group)


def test_the_shipped_files_are_small() -> None:
    assert sum(len((FOLDER / name).read_bytes()) for name in (model.WEIGHTS, model.DESCRIPTION)) <= MOST_BYTES


def test_no_held_out_line_is_trained_on() -> None:
    held_out = {case["id"] for name in ("fresh", "last", HELD_OUT) for case in cases(name)}
    writers = {line.writer for line in every_line()}

    assert len(held_out) >= 400 + 220
    assert not any(writer and writer.startswith("m") for writer in writers)


def test_the_shipped_model_was_trained_from_the_lines_of_this_repository() -> None:
    about = json.loads((FOLDER / model.DESCRIPTION).read_text(encoding="utf-8"))

    assert about["lines_sha256"] == hash_of(every_line()), "train again: python -m tests.training.concerns"


def test_training_again_gives_the_same_weights() -> None:
    pytest.importorskip("sklearn", reason="scikit-learn is needed to train: install the test extra")
    from tests.training.fitting import fit

    grave, act_now = fit(every_line())

    shipped = model.shipped_model()
    assert (grave, act_now) == (shipped.grave, shipped.act_now), (
        "train again: python -m tests.training.concerns"
    )


@pytest.mark.parametrize("text", ["her temperature is 39.5", "fever 39", "tiene 39 de fiebre"])
def test_a_temperature_alone_is_as_urgent_as_the_table_of_ages_says_and_is_not_asked_about(text: str) -> None:
    context = ReplyContext(
        now=datetime(2026, 3, 2, 12, tzinfo=UTC), language="en", affected_side="right", age_weeks=14
    )

    reading = read_reply(text, context)

    assert reading.unclear is None
    assert reading.concern is not None
    assert (reading.concern.urgency, reading.concern.topics[0]) == ("same_day", "fever")
