from __future__ import annotations

import html
import re
from datetime import date
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.activities.card import refresher_card, short_card, therapist_card
from bot.activities.library import load_library
from bot.activities.schema import Activity, Review

LIBRARY = load_library()
COMBINATIONS = list(product(LIBRARY, ("en", "es"), ("left", "right", "both"), ("left", "right", None)))
WORDS = {
    "en": {"left": "left", "right": "right", "weak": "weaker"},
    "es": {"left": "izquierdo", "right": "derecho", "weak": "más débil"},
}

each_card = pytest.mark.parametrize(("activity", "language", "affected", "side"), COMBINATIONS)


def whole(
    activity: str, language: str, affected: str, side: str | None, nickname: str = "Marigold-Ann"
) -> str:
    return refresher_card(
        LIBRARY[activity], language=language, nickname=nickname, affected_side=affected, side=side
    )


def short(
    activity: str, language: str, affected: str, side: str | None, nickname: str = "Marigold-Ann"
) -> str:
    return short_card(
        LIBRARY[activity], language=language, nickname=nickname, affected_side=affected, side=side
    )


@each_card
def test_a_card_fits_a_phone_and_leaves_no_placeholder(activity, language, affected, side):
    card = whole(activity, language, affected, side)

    assert 900 <= len(card) <= 1600
    assert "{" not in card
    assert "}" not in card


@each_card
def test_a_short_card_holds_at_most_600_characters(activity, language, affected, side):
    assert len(short(activity, language, affected, side)) <= 600


@each_card
def test_both_cards_show_every_stop_sign(activity, language, affected, side):
    ends = [sign.split("}")[-1] for sign in LIBRARY[activity].text(language).stop_signs]

    for card in (whole(activity, language, affected, side), short(activity, language, affected, side)):
        assert [end for end in ends if end not in card] == []


@each_card
def test_both_cards_send_to_emergency_help_and_say_that_the_chat_is_none(activity, language, affected, side):
    said = {
        "en": "Call for emergency help now. This chat is no",
        "es": "Llama ya a emergencias. Este chat no",
    }

    assert said[language] in whole(activity, language, affected, side)
    assert said[language] in short(activity, language, affected, side)


@each_card
def test_a_whole_card_puts_the_therapists_own_way_first(activity, language, affected, side):
    last = {"en": "the way your therapist showed you", "es": "como te mostró tu terapeuta"}

    assert last[language] in whole(activity, language, affected, side).splitlines()[-1]


@each_card
def test_the_first_two_lines_may_show_on_a_lock_screen(activity, language, affected, side):
    title, purpose = whole(activity, language, affected, side).splitlines()[:2]

    assert title == f"<b>{LIBRARY.name(activity, language)}</b> · Marigold-Ann"
    assert not re.search(r"\bweak|\bleft\b|\bright\b|débil|izquierd|derech", purpose)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize(("affected", "other"), [("left", "right"), ("right", "left")])
def test_the_weak_and_the_strong_arm_are_named_by_their_side(language, affected, other):
    steps = short("dressing", language, affected, None)
    first_sleeve = steps.index(WORDS[language][affected])
    first_other = steps.index(WORDS[language][other])

    assert first_sleeve < first_other
    assert WORDS[language]["weak"] not in steps


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("affected", ["left", "right"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_the_prompted_side_is_the_one_that_the_steps_name(language, affected, side):
    steps = short("head_turning", language, affected, side)
    absent = "right" if side == "left" else "left"

    assert WORDS[language][side] in steps
    assert WORDS[language][absent] not in steps


@pytest.mark.parametrize(
    ("activity", "affected", "expected"),
    [("head_turning", "left", "left"), ("side_lying", "left", "right"), ("rolling", "right", "left")],
)
def test_without_a_prompted_side_the_usual_side_of_the_activity_is_named(activity, affected, expected):
    assert f"the {expected} side" in short(activity, "en", affected, None)


@pytest.mark.parametrize(
    ("language", "line"),
    [("en", "• Take the same care of both arms."), ("es", "• Cuida igual los dos brazos.")],
)
@pytest.mark.parametrize("activity", LIBRARY)
def test_with_both_arms_affected_the_card_asks_for_the_same_care_of_both(activity, language, line):
    assert line in whole(activity, language, "both", "left")
    assert line not in whole(activity, language, "left", "left")


@pytest.mark.parametrize("activity", LIBRARY)
def test_with_both_arms_affected_and_a_prompted_side_only_that_side_is_named(activity):
    card = whole(activity, "en", "both", "right")

    assert not re.search(r"\bleft\b", card)


def test_a_language_that_is_none_of_ours_reads_in_english():
    assert whole("bath", "fr", "left", None) == whole("bath", "en", "left", None)


def for_therapist(activity: Activity, language: str, nickname: str = "Marigold-Ann") -> str:
    return therapist_card(activity, language=language, nickname=nickname, affected_side="left", side=None)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("activity", LIBRARY)
def test_the_therapists_card_shows_mistakes_sources_and_the_missing_review(activity, language):
    known = LIBRARY[activity]
    card = html.unescape(for_therapist(known, language))
    unreviewed = {
        "en": "No licensed therapist has checked this text yet.",
        "es": "Ningún terapeuta con licencia ha revisado aún este texto.",
    }

    assert [line for line in known.text(language).mistakes if line.split("}")[-1] not in card] == []
    assert [source for source in known.sources.model_dump().values() if source not in card] == []
    assert unreviewed[language] in card
    assert "{" not in card


@pytest.mark.parametrize(
    ("language", "line"),
    [("en", "Checked by R. Quill, Dec 1, 2026."), ("es", "Texto revisado por R. Quill, 1 dic 2026.")],
)
def test_a_reviewed_text_names_its_reviewer_and_the_day(language, line):
    review = Review(
        status="reviewed by a licensed therapist",
        changed=date(2026, 11, 25),
        by="R. Quill",
        on=date(2026, 12, 1),
    )
    card = for_therapist(LIBRARY["bath"].model_copy(update={"review": review}), language)

    assert card.endswith(line)


@given(nickname=st.text(min_size=1, max_size=40))
def test_any_nickname_is_escaped_and_only_bold_and_italic_are_used(nickname):
    card = whole("bath", "en", "left", None, nickname=nickname)
    tags = re.findall(r"<[^>]*>", card)

    assert set(tags) == {"<b>", "</b>", "<i>", "</i>"}
    assert nickname in html.unescape(card)


def largest_activity() -> Activity:
    """An activity of a clinic that uses every line and every character that the schema allows."""

    def line(length: int) -> str:
        return "{nickname}" + "{strong_side}".rjust(length - len("{nickname}"), "&")

    purpose = "{nickname}".rjust(160, "&")
    text = {
        "name": "N" * 24,
        "in_sentence": "s" * 60,
        "purpose": purpose,
        "waits_for": line(160),
        "side_means": line(160),
        "set_up": [line(100)] * 3,
        "steps": [line(100)] * 6,
        "hands": [line(100)] * 3,
        "watch_for": [line(100)] * 4,
        "mistakes": [line(100)] * 4,
        "stop_signs": [line(100)] * 6,
        "easier": line(160),
        "harder": line(160),
        "cues": ["One.", "Two.", "Three."],
    }
    return Activity.model_validate(
        {
            "activity": "largest",
            "from_weeks": 0,
            "skills": [],
            "positions": ["supine"],
            "prone": False,
            "side": "none",
            "unnamed_side": "weak",
            "only_if_switched_on": False,
            "moments": ["play"],
            "sources": dict.fromkeys(("purpose", "ages", "handling", "stop_signs"), "s" * 300),
            "review": {"status": "needs review by a licensed therapist", "changed": date(2026, 11, 25)},
            "en": text,
            "es": text,
        }
    )


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_largest_activity_that_the_schema_allows_fits_one_message(language):
    card = refresher_card(
        largest_activity(), language=language, nickname="N" * 40, affected_side="both", side=None
    )
    on_choosing = for_therapist(largest_activity(), language, nickname="N" * 40)

    assert len(shown(card)) <= 4096
    assert len(shown(on_choosing)) <= 4096


def shown(card: str) -> str:
    """A card as the messenger counts it: without markup."""
    return html.unescape(re.sub(r"</?[bi]>", "", card))
