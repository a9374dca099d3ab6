from __future__ import annotations

import html
import re
from datetime import date
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.activities.card import refresher_card, reviews_of, short_card, therapist_card
from bot.activities.library import load_library
from bot.activities.schema import Activity, Review
from bot.phrases import words_for
from scheduling.sides import AffectedSide, Side

LIBRARY = load_library()
COMBINATIONS = list(product(LIBRARY, ("en", "es"), ("left", "right", "both"), ("left", "right", None)))
WORDS = {
    "en": {"left": "left", "right": "right", "weak": "weaker"},
    "es": {"left": "izquierdo", "right": "derecho", "weak": "más débil"},
}

each_card = pytest.mark.parametrize(("activity", "language", "affected", "side"), COMBINATIONS)


def whole(
    activity: str,
    language: str,
    affected: AffectedSide,
    side: Side | None,
    nickname: str = "Marigold-Ann",
    after_feed: int | None = None,
) -> str:
    return refresher_card(
        LIBRARY[activity],
        language=language,
        nickname=nickname,
        affected_side=affected,
        side=side,
        after_feed=after_feed,
    )


def short(
    activity: str,
    language: str,
    affected: AffectedSide,
    side: Side | None,
    nickname: str = "Marigold-Ann",
    after_feed: int | None = None,
) -> str:
    return short_card(
        LIBRARY[activity],
        language=language,
        nickname=nickname,
        affected_side=affected,
        side=side,
        after_feed=after_feed,
    )


@each_card
def test_a_card_fits_a_phone_and_leaves_no_placeholder(
    activity: str, language: str, affected: AffectedSide, side: Side | None
) -> None:
    for card in (whole(activity, language, affected, side), short(activity, language, affected, side)):
        assert "{" not in card
        assert "}" not in card
    assert 900 <= len(whole(activity, language, affected, side)) <= 1600


@each_card
def test_a_short_card_holds_fewer_than_450_characters(
    activity: str, language: str, affected: AffectedSide, side: Side | None
) -> None:
    assert len(shown(short(activity, language, affected, side, after_feed=30))) < 450


@each_card
def test_a_short_card_says_what_it_is_three_steps_and_then_the_stop_signs(
    activity: str, language: str, affected: AffectedSide, side: Side | None
) -> None:
    what, steps, stop = short(activity, language, affected, side).split("\n\n")

    assert what.startswith(f"<b>{LIBRARY.name(activity, language)}</b> · Marigold-Ann\n")
    assert [line[:3] for line in steps.splitlines()] == ["1. ", "2. ", "3. "]
    assert stop.startswith("<b>STOP if</b>" if language == "en" else "<b>DETENTE si</b>")


@each_card
def test_both_cards_show_every_stop_sign(
    activity: str, language: str, affected: AffectedSide, side: Side | None
) -> None:
    ends = [sign.split("}")[-1] for sign in LIBRARY[activity].text(language).stop_signs]

    for card in (whole(activity, language, affected, side), short(activity, language, affected, side)):
        assert [end for end in ends if end not in card] == []


@each_card
def test_both_cards_send_to_emergency_help_and_the_whole_one_says_that_the_chat_is_none(
    activity: str, language: str, affected: AffectedSide, side: Side | None
) -> None:
    call = {"en": "Call for emergency help now", "es": "Llama ya a emergencias"}
    is_none = {
        "en": "This chat is not an emergency service",
        "es": "Este chat no es un servicio de emergencias",
    }

    assert call[language] in whole(activity, language, affected, side)
    assert call[language] in short(activity, language, affected, side)
    assert is_none[language] in whole(activity, language, affected, side)


@each_card
def test_the_time_after_a_feed_stands_on_both_cards_where_the_plan_leaves_one(
    activity: str, language: str, affected: AffectedSide, side: Side | None
) -> None:
    said = {"en": "At least 25 min after a feed.", "es": "Al menos 25 min después de comer."}

    for card in (whole, short):
        assert said[language] in card(activity, language, affected, side, after_feed=25)
        assert said[language] not in card(activity, language, affected, side)


@pytest.mark.parametrize(
    ("language", "said"),
    [("en", "You and the toys are on the right side."), ("es", "Tú y los juguetes van del lado derecho.")],
)
def test_a_prompted_side_of_tummy_time_says_what_it_means(language: str, said: str) -> None:
    assert short("tummy_time", language, "left", "right").splitlines()[1] == said


@each_card
def test_the_first_two_lines_of_a_short_card_speak_of_no_weaker_side(
    activity: str, language: str, affected: AffectedSide, side: Side | None
) -> None:
    first = "\n".join(short(activity, language, affected, side).splitlines()[:2])

    assert not re.search(r"\bweak|\bstrong|débil|fuerte", first)


@each_card
def test_a_whole_card_puts_the_therapists_own_way_first(
    activity: str, language: str, affected: AffectedSide, side: Side | None
) -> None:
    last = {"en": "the way your therapist showed you", "es": "como te mostró tu terapeuta"}

    assert last[language] in whole(activity, language, affected, side).splitlines()[-1]


@each_card
def test_the_first_two_lines_may_show_on_a_lock_screen(
    activity: str, language: str, affected: AffectedSide, side: Side | None
) -> None:
    title, purpose = whole(activity, language, affected, side).splitlines()[:2]

    assert title == f"<b>{LIBRARY.name(activity, language)}</b> · Marigold-Ann"
    assert not re.search(r"\bweak|\bleft\b|\bright\b|débil|izquierd|derech", purpose)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize(("affected", "other"), [("left", "right"), ("right", "left")])
def test_the_weak_and_the_strong_arm_are_named_by_their_side(
    language: str, affected: AffectedSide, other: str
) -> None:
    steps = short("dressing", language, affected, None)
    first_sleeve = steps.index(WORDS[language][affected])
    first_other = steps.index(WORDS[language][other])

    assert first_sleeve < first_other
    assert WORDS[language]["weak"] not in steps


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("affected", ["left", "right"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_the_prompted_side_is_the_one_that_the_steps_name(
    language: str, affected: AffectedSide, side: Side
) -> None:
    steps = short("head_turning", language, affected, side)
    absent = "right" if side == "left" else "left"

    assert WORDS[language][side] in steps
    assert WORDS[language][absent] not in steps


@pytest.mark.parametrize(
    ("activity", "affected", "expected"),
    [("head_turning", "left", "left"), ("side_lying", "left", "right"), ("rolling", "right", "left")],
)
def test_without_a_prompted_side_the_usual_side_of_the_activity_is_named(
    activity: str, affected: AffectedSide, expected: str
) -> None:
    assert f"the {expected} side" in short(activity, "en", affected, None)


@pytest.mark.parametrize(
    ("language", "line"),
    [("en", "• Take the same care of both arms."), ("es", "• Cuida igual los dos brazos.")],
)
@pytest.mark.parametrize("activity", LIBRARY)
def test_with_both_arms_affected_the_card_asks_for_the_same_care_of_both(
    activity: str, language: str, line: str
) -> None:
    assert line in whole(activity, language, "both", "left")
    assert line not in whole(activity, language, "left", "left")


@pytest.mark.parametrize("activity", LIBRARY)
def test_with_both_arms_affected_and_a_prompted_side_only_that_side_is_named(activity: str) -> None:
    card = whole(activity, "en", "both", "right")

    assert not re.search(r"\bleft\b", card)


def test_a_language_that_is_none_of_ours_reads_in_english() -> None:
    assert whole("bath", "fr", "left", None) == whole("bath", "en", "left", None)


def for_therapist(activity: Activity, language: str, nickname: str = "Marigold-Ann") -> str:
    return therapist_card(activity, language=language, nickname=nickname, affected_side="left", side=None)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("activity", LIBRARY)
def test_the_therapists_card_shows_mistakes_sources_and_the_missing_review(
    activity: str, language: str
) -> None:
    known = LIBRARY[activity]
    card = html.unescape(for_therapist(known, language))
    unreviewed = {
        "en": "Reviewed by a licensed therapist: not yet.",
        "es": "Texto revisado por terapeuta con licencia: aún no.",
    }

    assert [line for line in known.text(language).mistakes if line.split("}")[-1] not in card] == []
    assert [source for source in known.sources.model_dump().values() if source not in card] == []
    assert unreviewed[language] in card
    assert "{" not in card


@pytest.mark.parametrize(
    ("language", "line"),
    [
        ("en", "Reviewed by a licensed therapist: R. Quill, 1 Dec 2026."),
        ("es", "Texto revisado por terapeuta con licencia: R. Quill, 1 dic 2026."),
    ],
)
def test_a_reviewed_text_names_its_reviewer_and_the_day(language: str, line: str) -> None:
    review = Review(
        status="reviewed by a licensed therapist",
        changed=date(2026, 11, 25),
        by="R. Quill",
        on=date(2026, 12, 1),
    )
    reviewed = LIBRARY["bath"].model_copy(update={"review": review})

    assert for_therapist(reviewed, language).endswith(line)


def test_a_choice_of_activities_says_which_of_them_are_reviewed_and_when() -> None:
    review = Review(
        status="reviewed by a licensed therapist",
        changed=date(2026, 11, 25),
        by="R. Quill",
        on=date(2026, 12, 1),
    )
    reviewed = LIBRARY["bath"].model_copy(update={"review": review})

    assert "licensed therapist: none of these yet" in reviews_of(LIBRARY.values(), words_for("en"))
    assert reviews_of([reviewed, LIBRARY["rolling"]], words_for("en")) == (
        "<i>Reviewed by a licensed therapist: Bath (1 Dec 2026). The rest: not yet.</i>"
    )


@given(nickname=st.text(min_size=1, max_size=40))
def test_any_nickname_is_escaped_and_only_bold_and_italic_are_used(nickname: str) -> None:
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
        "brief": [line(50)] * 3,
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
def test_the_largest_activity_that_the_schema_allows_fits_one_message(language: str) -> None:
    card = refresher_card(
        largest_activity(), language=language, nickname="N" * 40, affected_side="both", side=None
    )
    on_choosing = for_therapist(largest_activity(), language, nickname="N" * 40)

    assert len(shown(card)) <= 4096
    assert len(shown(on_choosing)) <= 4096


def shown(card: str) -> str:
    """A card as the messenger counts it: without markup."""
    return html.unescape(re.sub(r"</?[bi]>", "", card))
