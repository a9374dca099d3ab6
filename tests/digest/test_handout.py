"""The fridge sheet: a plan in plain words on one page."""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from bot.activities.library import load_library
from bot.digest.handout import ClinicLines, chat_link, code_svg, handout_pdf
from bot.phrases import words_for
from scheduling.plan import plan_from
from scheduling.sides import Side
from tests.reading_grade import grade

NOW = datetime(2026, 3, 8, 18, tzinfo=ZoneInfo("America/Halifax"))
LINES = ClinicLines("Harbour Arm Clinic", "Robin", "555 0199", "555 0100")
LIBRARY = load_library()


def plan(*activities: dict[str, Any], side: str = "right") -> Any:
    return plan_from(
        {
            "baby": {"nickname": "Pip", "born": "2025-11-20", "gestation_weeks": 39, "affected_side": side},
            "time_zone": "America/Halifax",
            "awake": [["07:00", "19:30"]],
            "moments": {"nappy": ["08:00"], "carry": ["11:00"]},
            "activities": list(activities),
        }
    )


def hold(activity: str, **fields: Any) -> dict[str, Any]:
    return {"activity": activity, "target": {"minutes": 15}, "session": [5, 5], **fields}


def pages(of: Any, language: str = "en", bot_name: str | None = "underwing_bot") -> list[str]:
    pdf = handout_pdf(of, words_for(language), LIBRARY, lines=LINES, as_of=NOW, bot_name=bot_name)
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


def test_each_hold_has_side_minutes_two_cues_and_every_stop_sign() -> None:
    (page,) = pages(
        plan(hold("football_hold", side="unaffected", moments=["carry"]), hold("tummy_time", after_feed=30))
    )
    text = LIBRARY["football_hold"].en

    assert "Football hold · left side" in page
    assert "15 min a day, 5 at a time · at: carrying" in page
    assert "at least 30 min after a feed" in page
    assert sum(cue.replace("{side}", "left") in page for cue in text.cues) == 2
    assert all(sign.replace("{nickname}", "Pip") in page for sign in text.stop_signs)


def test_the_clinics_lines_and_the_limits_of_the_chat_are_on_it() -> None:
    (page,) = pages(plan(hold("tummy_time")))

    assert "Call for help now: 555 0199" in page
    assert "call the nurse line today: 555 0100" in page
    assert "not an emergency service" in page


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"side": "affected"}, "right side"),
        ({"side": "unaffected"}, "left side"),
        ({"side": "alternate"}, "left and right in turn"),
        ({"side": {"affected": 2, "unaffected": 1}}, "right 2 ×, then left 1 ×"),
        ({}, "Side lying 15 min"),
    ],
)
def test_the_side_is_told_by_its_plain_name(fields: dict[str, Any], told: str) -> None:
    assert told in pages(plan(hold("side_lying", **fields)))[0]


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("side", ["left", "right", "both"])
def test_every_activity_of_the_library_fits_on_one_page_together_and_names_no_diagnosis(
    language: str, side: Side
) -> None:
    of = plan(*(hold(activity, side="alternate") for activity in LIBRARY), side=side)
    (page,) = pages(of, language)

    assert not [
        word for word in ("plexus", "palsy", "injury", "weak side", "lado débil", "{") if word in page.lower()
    ]


def test_what_is_held_on_that_day_is_left_out() -> None:
    (page,) = pages(plan(hold("gentle_range", **{"from": "2026-04-01"}), hold("tummy_time")))

    assert LIBRARY.name("gentle_range", "en") not in page


def test_a_plan_in_its_rest_says_that_there_is_nothing_to_do_yet() -> None:
    (page,) = pages(plan(hold("tummy_time", **{"from": "2026-04-01"})))

    assert "Nothing to do for now" in page


def test_a_clinics_own_activity_stands_with_its_name_alone() -> None:
    assert "our own swing" in pages(plan(hold("our_own_swing")))[0]


@settings(max_examples=8, deadline=None)
@given(
    nickname=st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=40).filter(
        str.strip
    )
)
def test_any_nickname_is_set_as_text_and_never_as_markup(nickname: str) -> None:
    document = plan(hold("tummy_time"))
    named = plan_from(
        {
            "baby": {
                "nickname": nickname,
                "born": "2025-11-20",
                "gestation_weeks": 39,
                "affected_side": "left",
            },
            "time_zone": "America/Halifax",
            "awake": [["07:00", "19:30"]],
            "activities": [hold("tummy_time")],
        }
    )

    assert len(pages(named)) == len(pages(document)) == 1


def test_the_code_opens_the_chat_with_the_bot() -> None:
    assert chat_link("@underwing_bot") == "https://t.me/underwing_bot"
    assert code_svg(chat_link("underwing_bot")).startswith("<svg")


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_fixed_words_of_the_sheet_read_at_grade_six_or_lower(language: str) -> None:
    words = words_for(language)
    said = [
        words.plain("sleep.safe"),
        words.plain("handout.not_sure", therapist="Robin"),
        words.plain("handout.no_emergency"),
        words.plain("handout.nothing"),
    ]

    assert grade(" ".join(said), language) <= 6
