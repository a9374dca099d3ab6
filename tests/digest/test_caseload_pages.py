"""The therapist's week on a phone: pages of a screen each, every word of the carers, who waits first, nothing twice."""

import re

import pytest

from bot.digest.caseload import CaseloadPage, caseload_pages
from bot.digest.facts import ConcernFact, QuestionFact
from bot.digest.paging import PAGE_UNITS, packed, units
from bot.digest.ranking import Ranked, ranked
from bot.digest.week import digest_of
from bot.phrases import Words, words_for
from tests.digest.invented_weeks import MONDAY, at, facts, lively_facts, name_of

EN, ES = words_for("en"), words_for("es")
SEEN_AT, ANSWERED_AT = at(MONDAY, 10), at(MONDAY, 11)


def caseload(families: int, **changes: object) -> list[Ranked]:
    return ranked(digest_of(lively_facts(n, **changes)) for n in range(1, families + 1))


def told(pages: tuple[CaseloadPage, ...]) -> str:
    """Return all pages as one text, without markup."""
    whole = re.sub("</?b>", "", "\n".join(page.text for page in pages))
    return whole.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")


@pytest.mark.parametrize("families", [1, 10, 40, 80])
@pytest.mark.parametrize("words", [EN, ES])
def test_every_family_and_every_word_stands_on_a_page_that_fits_a_phone(families: int, words: Words) -> None:
    ranking = caseload(families)
    pages = caseload_pages(ranking, words, name_of)
    text = told(pages)

    assert all(units(page.text) <= PAGE_UNITS for page in pages)
    assert [one.family for one in ranking if one.digest.nickname not in text] == []
    said = [each.text for one in ranking for each in one.digest.concerns]
    said += [each.text for one in ranking for each in one.digest.questions]
    assert said
    assert [each for each in said if each not in text] == []


def test_what_was_written_stands_under_its_familys_name_and_is_not_counted_there_again() -> None:
    concern = ConcernFact(at(MONDAY, 9), "Mum", "act_now", "she went blue")
    question = QuestionFact(at(MONDAY, 8), "Dad", "may he bathe?")
    pip = digest_of(facts(concerns=(concern,), questions=(question,)))
    teo = digest_of(facts(family="f2", nickname="Teo"))
    (page,) = caseload_pages(ranked([teo, pip]), EN, name_of)

    lines = told((page,)).splitlines()
    start = lines.index("1. Pip: days with no messages: 6 of 7")
    assert lines[start + 1 : start + 4] == [
        "[urgent] Mon 2 Mar, 9:00 AM, Mum: “she went blue” (not seen yet)",
        "Mon 2 Mar, 8:00 AM, Dad: “may he bathe?” (not answered)",
        "2. Teo: days with no messages: 7 of 7",
    ]
    assert "urgent concern" not in page.text


@pytest.mark.parametrize(
    ("concern", "shown"),
    [
        (ConcernFact(at(MONDAY, 9), "Mum", "same_day", "x"), "not seen yet"),
        (ConcernFact(at(MONDAY, 9), "Mum", "same_day", "x", seen=True), "seen, not answered"),
        (ConcernFact(at(MONDAY, 9), "Mum", "same_day", "x", seen=True, wrong=True), "not a concern"),
        (
            ConcernFact(at(MONDAY, 9), "Mum", "same_day", "x", answered_at=ANSWERED_AT, seen=True),
            "answered Mon 2 Mar, 11:00 AM",
        ),
    ],
)
def test_a_concern_says_what_became_of_it(concern: ConcernFact, shown: str) -> None:
    (page,) = caseload_pages(ranked([digest_of(facts(concerns=(concern,)))]), EN, name_of)

    assert f"“x” ({shown})" in page.text


@pytest.mark.parametrize(
    ("question", "shown"),
    [
        (QuestionFact(at(MONDAY, 9), "Mum", "", shows=True, activity="side_lying"), "📎 Side lying (not"),
        (QuestionFact(at(MONDAY, 9), "Mum", "so?", shows=True, activity="side_lying"), "📎 Side lying: “so?” (not"),
        (QuestionFact(at(MONDAY, 9), "Mum", "", shows=True), "📎 photo or video, hold not named (not"),
    ],
)  # fmt: skip
def test_a_file_without_words_says_what_it_shows(question: QuestionFact, shown: str) -> None:
    (page,) = caseload_pages(ranked([digest_of(facts(questions=(question,)))]), EN, name_of)

    assert shown in page.text
    assert "“”" not in page.text


def test_whoever_waits_comes_before_those_who_only_fell_silent() -> None:
    silent = [digest_of(facts(family=f"f{n}", nickname=f"Baby {n}")) for n in range(3)]
    asking = lively_facts(1, nickname="Teo", days_with_word=facts().days_with_word, concerns=())
    spoken = ranked([*silent, digest_of(asking)])

    assert spoken[0].digest.nickname == "Teo"


def test_neighbours_of_whom_the_same_is_told_share_a_line_in_their_order() -> None:
    silent = [digest_of(facts(family=f"f{n}", nickname=f"Baby {n}")) for n in range(3)]
    blue = ConcernFact(at(MONDAY, 9), "Mum", "act_now", "blue")
    asking = digest_of(facts(family="f9", nickname="Teo", concerns=(blue,)))
    (page,) = caseload_pages(ranked([*silent, asking]), EN, name_of)

    assert page.text.splitlines()[-1] == "2-4. Baby 0, Baby 1, Baby 2: days with no messages: 7 of 7"


def test_of_many_families_those_on_a_shared_line_have_no_button() -> None:
    silent = [digest_of(facts(family=f"f{n}", nickname=f"Baby {n}")) for n in range(39)]
    blue = ConcernFact(at(MONDAY, 9), "Mum", "act_now", "blue")
    asking = digest_of(facts(family="f99", nickname="Teo", concerns=(blue,)))

    many = caseload_pages(ranked([*silent, asking]), EN, name_of)
    few = caseload_pages(ranked([*silent[:3], asking]), EN, name_of)

    assert [page.families for page in many] == [("f99",)]
    assert [page.families for page in few] == [("f99", "f0", "f1", "f2")]


def test_each_family_has_its_button_on_the_page_where_its_words_end() -> None:
    def family(n: int) -> Ranked:
        words = f"{n} " + "long and tired words " * 30
        concern = ConcernFact(at(MONDAY, 9), "Mum", "act_now", words)
        return ranked([digest_of(facts(family=f"f{n}", nickname=f"Baby {n}", concerns=(concern,)))])[0]

    pages = caseload_pages([family(n) for n in range(3)], EN, name_of)

    assert [page.families for page in pages] == [("f0",), ("f1",), ("f2",)]
    assert [f"Baby {n}</b>" in page.text for n, page in enumerate(pages)] == [True] * 3


def test_two_babies_of_one_nickname_are_told_apart_by_id() -> None:
    (page,) = caseload_pages(ranked(digest_of(facts(family=f)) for f in ("f1", "f2")), EN, name_of)

    assert "Pip (f1)" in page.text
    assert "Pip (f2)" in page.text


def test_an_empty_caseload_says_so() -> None:
    assert caseload_pages([], EN, name_of) == (CaseloadPage("You have no families yet."),)


def test_a_heading_never_ends_a_page() -> None:
    line = "word " * 200
    first, second = packed([line.strip(), "<b>Questions</b>", line.strip()])

    assert first == line.strip()
    assert second.startswith("<b>Questions</b>\n")
