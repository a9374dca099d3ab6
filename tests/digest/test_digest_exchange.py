import csv
import io
from typing import get_args

from hypothesis import given
from hypothesis import strategies as st

from bot.digest.exchange import CSV_COLUMNS, csv_of, visit_note_text
from bot.digest.facts import FamilyFacts
from bot.digest.trace import Part, entries_behind, observations_behind, prone_entries, trace_text
from bot.digest.week import digest_of
from bot.phrases import words_for
from tests.digest.invented_weeks import facts, lively_facts, name_of, session

EN, ES = words_for("en"), words_for("es")


def rows(*told: FamilyFacts) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(csv_of(digest_of(one) for one in told), newline="")))


def test_the_csv_has_a_row_a_session_with_its_messages() -> None:
    assert rows(facts(sessions=(session("football_hold", 7.5, side="left"),))) == [
        {
            "family": "f1",
            "date": "2026-03-02",
            "at": "2026-03-02T09:00:00-06:00",
            "activity": "football_hold",
            "minutes": "7.5",
            "side": "left",
            "carer": "Mum",
            "entry": "s1",
            "messages": "m-s1",
        }
    ]


def test_the_columns_of_the_csv_stay_as_they_are() -> None:
    assert CSV_COLUMNS == (
        "family",
        "date",
        "at",
        "activity",
        "minutes",
        "side",
        "carer",
        "entry",
        "messages",
    )


def test_unknown_minutes_are_empty_in_the_csv_and_not_zero() -> None:
    assert rows(facts(sessions=(session(minutes=None),)))[0]["minutes"] == ""


def test_a_name_can_not_act_as_a_formula_in_a_spreadsheet() -> None:
    assert rows(facts(sessions=(session(carer="=1+1"),)))[0]["carer"] == "'=1+1"


@given(name=st.text(min_size=1, max_size=20).filter(lambda text: text[0] not in "=+-@\t\r"))
def test_any_name_comes_back_from_the_csv_as_it_was(name: str) -> None:
    assert rows(facts(sessions=(session(carer=name),)))[0]["carer"] == name


def test_the_visit_note_tells_the_week_and_leaves_room_to_write() -> None:
    told = lively_facts(4)
    note = visit_note_text(digest_of(told), EN, name_of)

    assert note.startswith("Visit note: Teo (f4)")
    assert "cries when I touch her arm <since noon>" in note
    assert "WHO AGE RANGES" in note
    assert note.rstrip().endswith("PLAN UNTIL THE NEXT VISIT:")


@given(seed=st.integers(1, 500))
def test_every_figure_of_minutes_is_the_sum_of_the_entries_behind_it(seed: int) -> None:
    digest = digest_of(lively_facts(seed))

    for figures in digest.activities:
        for part in get_args(Part):
            entries = entries_behind(digest, activity=figures.activity, part=part)
            assert sum(entry.minutes or 0 for entry in entries) == getattr(figures, part)
        for day in figures.days:
            entries = entries_behind(digest, activity=figures.activity, day=day.date)
            assert sum(entry.minutes or 0 for entry in entries) == (day.minutes or 0)
    for share in digest.carers:
        assert len(entries_behind(digest, carer=share.carer)) == share.entries
    assert sum(entry.minutes or 0 for entry in prone_entries(digest)) == digest.prone.minutes
    for seen in digest.observations:
        assert len(observations_behind(digest, seen.kind, seen.side)) == seen.count


def test_every_entry_names_the_messages_it_was_read_from() -> None:
    assert all(entry.messages for entry in entries_behind(digest_of(lively_facts(1))))


def test_asked_where_minutes_come_from_the_entries_are_listed() -> None:
    told = (
        session("football_hold", 30, side="left"),
        session("football_hold", 15, side="left", day=2, id="b"),
    )
    text = trace_text(digest_of(facts(sessions=told)), "football_hold", EN, name_of, part="left")

    assert text == "Football hold: 45 min\nMon 2 Mar: 30 min, left, Mum\nWed 4 Mar: 15 min, left, Mum"


def test_asked_about_minutes_that_nobody_told_of_it_says_so() -> None:
    assert trace_text(digest_of(facts()), "rolling", ES, name_of) == "Rolling: nada anotado en este tiempo."
