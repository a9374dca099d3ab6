import io
from datetime import date

import pytest
from pypdf import PdfReader

from bot.digest.document import Paper, digest_pdf, paper_for, visit_note_pdf
from bot.digest.facts import ConcernFact, GradeFact, UnreadFact
from bot.digest.ranking import ranked
from bot.digest.week import digest_of
from bot.phrases import words_for
from tests.digest.invented_weeks import MONDAY, at, facts, lively_facts, name_of

EN, ES = words_for("en"), words_for("es")
NOW = at(MONDAY, 18)


def pages(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


def test_the_document_has_a_cover_and_a_page_a_family_in_the_order_of_need() -> None:
    ranking = ranked(digest_of(lively_facts(n)) for n in range(1, 7))
    cover, *rest = pages(digest_pdf(ranking, EN, name_of, as_of=NOW))

    assert "Weekly digest" in cover
    assert [page.split(" ")[0] for page in rest] == [one.digest.nickname for one in ranking]


def test_a_quiet_family_still_has_its_page_with_unknown_figures() -> None:
    page = pages(digest_pdf(ranked([digest_of(facts())]), EN, name_of, as_of=NOW))[1]

    assert "not known" in page
    assert "We don't know what was done" in page


def test_texts_of_any_length_and_any_characters_are_whole_in_the_document() -> None:
    # Markup of the typesetter, of HTML, and an emoji that no font at hand can draw.
    wild = "#set text(red) $x$ *b* <b> & _u_ @ref \\ `raw` [box] 👍 " + "word " * 900 + "end"
    told = facts(unread=(UnreadFact(at(MONDAY, 9), "Mum", wild),))
    text = " ".join(pages(digest_pdf(ranked([digest_of(told)]), EN, name_of, as_of=NOW)))

    assert "#set text(red) $x$ *b* <b> & _u_ @ref \\ `raw` [box] [thumbs up sign]" in text
    assert text.count("word ") >= 900 - text.count("wo-")
    assert "word end" in text


def test_a_concern_stands_in_the_document_in_the_carers_words() -> None:
    told = facts(concerns=(ConcernFact(at(MONDAY, 9), "Abuela", "same_day", "le duele el brazo"),))
    text = " ".join(pages(digest_pdf(ranked([digest_of(told)]), ES, name_of, as_of=NOW)))

    assert "[mismo día]" in text
    assert "«le duele el brazo»" in text


def test_the_same_week_gives_the_same_document() -> None:
    ranking = ranked([digest_of(lively_facts(2))])

    assert digest_pdf(ranking, EN, name_of, as_of=NOW) == digest_pdf(ranking, EN, name_of, as_of=NOW)


@pytest.mark.parametrize(
    ("zone", "paper"),
    [
        ("America/Halifax", "us-letter"),
        ("US/Eastern", "us-letter"),
        ("America/Argentina/Buenos_Aires", "a4"),
        ("Europe/Madrid", "a4"),
        ("Asia/Calcutta", "a4"),
        ("UTC", "a4"),
    ],
)
def test_the_paper_is_the_one_used_where_the_clinic_is(zone: str, paper: str) -> None:
    assert paper_for(zone) == paper


@pytest.mark.parametrize(("paper", "width"), [("a4", 595), ("us-letter", 612)])
def test_pages_have_the_size_that_was_asked_for(paper: Paper, width: int) -> None:
    pdf = digest_pdf(ranked([digest_of(facts())]), EN, name_of, as_of=NOW, paper=paper)

    assert round(float(PdfReader(io.BytesIO(pdf)).pages[0].mediabox.width)) == width


def test_a_visit_note_is_a_page_a_family_with_the_checks_due() -> None:
    first, second = (
        facts(born=date(2025, 12, 12)),
        facts(family="f2", nickname="Wren", born=date(2025, 10, 1)),
    )
    notes = pages(visit_note_pdf([digest_of(first), digest_of(second)], EN, name_of, as_of=NOW))

    assert len(notes) == 2
    assert "Elbow flexion (3 months): Thu 12 Mar" in notes[0]
    assert "Elbow flexion" not in notes[1]
    assert "Plan until the next visit" in notes[1]


def test_a_visit_note_shows_the_age_windows_as_a_cue() -> None:
    note = pages(visit_note_pdf([digest_of(facts())], EN, name_of, as_of=NOW))[0]

    assert "a guide, not a diagnosis" in note
    assert "Sits alone: 3.8 to 9.2 months" in note


def test_the_therapists_grades_stand_in_document_and_note_with_their_caution() -> None:
    grades = {
        "elbow_flexion": 4,
        "elbow_extension": 7,
        "wrist_extension": 3,
        "finger_extension": 2,
        "thumb_extension": 0,
    }
    told = digest_of(facts(grades=(GradeFact("toronto", grades, MONDAY, "Robin"),)))
    texts = [
        pages(digest_pdf(ranked([told]), EN, name_of, as_of=NOW))[1],
        pages(visit_note_pdf([told], EN, name_of, as_of=NOW))[0],
    ]

    for text in texts:
        assert "3.5 of 10 (usual mark to refer: under 3.5 at 3 months)" in text
        assert "The clinic must check it before use" in text
