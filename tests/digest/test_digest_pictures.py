import io
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from PIL import Image
from PIL.ImageFile import ImageFile

from bot.digest.chart import caseload_picture, week_picture
from bot.digest.family_picture import family_week_picture
from bot.digest.glyphs import drawable
from bot.digest.ranking import ranked
from bot.digest.week import digest_of
from bot.phrases import Words, words_for
from tests.digest.invented_weeks import MONDAY, facts, lively_facts, name_of, session, week_of

EN, ES = words_for("en"), words_for("es")


def opened(png: bytes) -> ImageFile:
    return Image.open(io.BytesIO(png))


@pytest.mark.parametrize("draw", [week_picture, family_week_picture])
@pytest.mark.parametrize("words", [EN, ES])
def test_a_picture_is_as_wide_as_a_phone(draw: Callable[..., bytes], words: Words) -> None:
    picture = opened(draw(digest_of(lively_facts(3)), words, name_of))

    assert picture.format == "PNG"
    assert picture.width == 1080


def test_the_same_week_gives_the_same_bytes() -> None:
    digest = digest_of(lively_facts(3))

    assert week_picture(digest, EN, name_of) == week_picture(digest, EN, name_of)


def test_a_silent_day_looks_unlike_a_day_on_which_nothing_was_done() -> None:
    one_day = facts(days=week_of()[:1])
    silent = week_picture(digest_of(one_day), EN, name_of)
    idle = week_picture(digest_of(replace(one_day, days_with_word=frozenset({MONDAY}))), EN, name_of)

    assert silent != idle


def test_the_sides_differ_in_grey_too() -> None:
    pictures = [
        week_picture(
            digest_of(facts(days=week_of()[:1], sessions=(session("football_hold", 20, side=side),))),
            EN,
            name_of,
        )
        for side in ("left", "right")
    ]
    left, right = (np.asarray(opened(png).convert("L"), dtype=float) for png in pictures)

    # Only the bar and its two figures differ: on the bar, the mean grey is far apart.
    apart = np.abs(left - right)
    assert apart[apart > 0].mean() > 40


def test_more_activities_make_a_taller_picture() -> None:
    few = facts(days=week_of(due=week_of()[0].due[:2]))

    assert (
        opened(week_picture(digest_of(few), EN, name_of)).height
        < opened(week_picture(digest_of(facts()), EN, name_of)).height
    )


def test_a_family_without_a_plan_has_a_picture_that_says_so() -> None:
    bare = facts(days=week_of(due=(), awake_minutes=None))

    assert opened(week_picture(digest_of(bare), EN, name_of)).width == 1080


def test_the_familys_own_picture_does_not_change_with_the_target() -> None:
    told = (session("tummy_time", 10),)
    small, large = (facts(sessions=told, days=week_of(due=week_of()[0].due[:n])) for n in (1, 5))

    assert family_week_picture(digest_of(small), EN, name_of) == family_week_picture(
        digest_of(large), EN, name_of
    )


def test_a_caseload_of_forty_is_one_picture() -> None:
    ranking = ranked(digest_of(lively_facts(n)) for n in range(1, 41))

    assert opened(caseload_picture(ranking, EN, name_of)).width == 1080


def test_eight_local_dates_fit_a_picture() -> None:
    days = (*week_of(MONDAY - timedelta(days=7))[-1:], *week_of())

    assert opened(week_picture(digest_of(facts(days=days)), EN, name_of)).width == 1080


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Pip", "Pip"),
        ("señal ¿ñ?", "señal ¿ñ?"),
        ("👍🏽 ok", "[thumbs up sign] ok"),
        ("a\nb\tc", "a\nb c"),
        ("\U0010fffe", "[u+10fffe]"),
    ],
)
def test_a_character_without_a_shape_is_told_by_its_name(text: str, shown: str) -> None:
    assert drawable(text) == shown
