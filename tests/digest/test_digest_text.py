import re
import textwrap
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.concerns.finding import Urgency
from bot.digest.caseload import caseload_plain
from bot.digest.facts import ConcernFact, UnreadFact
from bot.digest.paging import PAGE_UNITS, packed, units
from bot.digest.ranking import ranked
from bot.digest.text import family_plain, family_text
from bot.digest.week import digest_of
from bot.phrases import Words, words_for
from tests.digest.invented_weeks import MONDAY, at, facts, lively_facts, name_of, session

EN, ES = words_for("en"), words_for("es")
TAG = re.compile(r"</?b>")


def unescaped(html: str) -> str:
    return TAG.sub("", html).replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")


def test_the_page_of_a_family_holds_its_figures() -> None:
    told = (session("tummy_time", 45), session("football_hold", 10, side="left", id="b"))
    page = family_text(digest_of(facts(sessions=told)), EN, name_of)[0]

    assert "Tummy time 45/40 · 45" in page
    assert "Football hold 10/20 · L 10 R 0 · 10" in page
    assert "8% of waking time (aim 50%)" in page
    assert "days with 30 min or more: 1 of 1 (WHO floor)" in page
    assert "6 days not known" in page


def test_a_silent_week_is_told_as_not_known_and_shows_no_zero_minutes() -> None:
    page = family_text(digest_of(facts()), EN, name_of)[0]

    assert "We don't know what was done" in page
    assert "0/" not in page


@pytest.mark.parametrize("words", [EN, ES])
def test_a_page_with_five_activities_fits_a_phone_screen(words: Words) -> None:
    for seed in range(1, 30):
        page = family_text(digest_of(lively_facts(seed)), words, name_of)[0]
        lines = [part for line in TAG.sub("", page).split("\n") for part in (textwrap.wrap(line, 44) or [""])]

        # Forty lines of 44 letters: a usual phone at its usual letter size.
        assert len(lines) <= 40


def test_suggestions_that_do_not_fit_the_page_follow_it() -> None:
    told = lively_facts(1)
    digest = digest_of(told)
    page, *more = family_text(digest, EN, name_of)
    suggested = [line for line in family_plain(digest, EN, name_of).split("\n") if "•" in line]

    assert len(suggested) == 4
    assert sum("•" in line for line in page.split("\n")) == 3
    assert "1 more to consider follows" in page
    assert suggested[3].strip() in unescaped("".join(more))


def test_short_texts_stand_on_the_page_itself() -> None:
    told = facts(
        sessions=(session(),), concerns=(ConcernFact(at(MONDAY, 9), "Mum", "same_day", "it's swollen"),)
    )
    messages = family_text(digest_of(told), EN, name_of)

    assert len(messages) == 1
    assert "[same day] Mon 2 Mar, 9:00 AM, Mum: “it's swollen” (not seen yet)" in messages[0]


@settings(max_examples=40)
@given(texts=st.lists(st.text(min_size=1, max_size=5000), min_size=1, max_size=4))
def test_no_character_that_a_carer_wrote_is_lost(texts: list[str]) -> None:
    unread = tuple(
        UnreadFact(at(MONDAY, 9) + timedelta(minutes=n), "Mum", text) for n, text in enumerate(texts)
    )
    messages = family_text(digest_of(facts(unread=unread)), EN, name_of)

    assert all(units(message) <= PAGE_UNITS for message in messages)
    # Only line ends may stand between the pieces of a text that was broken in two.
    whole = unescaped("".join(messages)).replace("\n", "")
    for text in texts:
        assert unescaped(text.replace("&", "&amp;")).replace("\n", "") in whole


@given(line=st.text(st.sampled_from("ab &<😀"), max_size=9000))
def test_a_long_line_is_broken_without_cutting_an_entity(line: str) -> None:
    import html

    pieces = packed([html.escape(line, quote=False)])

    assert "".join(unescaped(piece) for piece in pieces) == line
    assert all(units(piece) <= PAGE_UNITS for piece in pieces)


def test_what_carers_write_can_not_act_as_markup() -> None:
    told = facts(unread=(UnreadFact(at(MONDAY, 9), "<i>Mum", "<a href='x'>&"),))
    page = family_text(digest_of(told), EN, name_of)[0]

    assert set(re.findall(r"<[^>]*>", page)) == {"<b>", "</b>"}


def test_the_most_urgent_concern_is_read_first() -> None:
    urgencies: tuple[Urgency, ...] = ("tell_therapist", "act_now", "same_day")
    concerns = tuple(
        ConcernFact(at(MONDAY, 9 + n), "Mum", urgency, urgency) for n, urgency in enumerate(urgencies)
    )
    text = family_plain(digest_of(facts(concerns=concerns)), EN, name_of)

    assert text.index("“act_now”") < text.index("“same_day”") < text.index("“tell_therapist”")


@pytest.mark.parametrize("words", [EN, ES])
@pytest.mark.parametrize("seed", range(1, 12))
def test_every_family_can_be_told_in_both_languages(words: Words, seed: int) -> None:
    digest = digest_of(lively_facts(seed))
    text = family_plain(digest, words, name_of)

    assert digest.nickname in text
    assert all(concern.text in text for concern in digest.concerns)
    assert "{" not in text + caseload_plain(ranked([digest]), words, name_of)


def test_spanish_readers_get_spanish() -> None:
    text = family_plain(digest_of(lively_facts(4)), ES, name_of)

    assert "Boca abajo" in text
    assert "On the tummy" not in text


def test_a_digest_since_the_last_one_shows_its_instants() -> None:
    cut = replace(facts(), from_at=at(MONDAY, 18), to_at=at(MONDAY + timedelta(days=6), 18))

    assert "Mon 2 Mar, 6:00 PM to Sun 8 Mar, 6:00 PM" in family_plain(digest_of(cut), EN, name_of)
