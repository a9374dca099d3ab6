"""A therapist's words for a time, and the same time carried in a button."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.parsing.period import Dates, Instants, SpanProblem, decoded, encoded, span_from

HALIFAX = ZoneInfo("America/Halifax")
NOW = datetime(2026, 3, 12, 2, 30, tzinfo=UTC)  # still the 11th in Halifax
END = NOW + timedelta(seconds=1)


@pytest.mark.parametrize(
    ("text", "span", "left"),
    [
        ("", Instants(END - timedelta(days=7), END), ""),
        ("14", Instants(END - timedelta(days=14), END), ""),
        ("14d", Instants(END - timedelta(days=14), END), ""),
        ("2026-W10", Dates(date(2026, 3, 2), date(2026, 3, 8)), ""),
        ("2026-w11", Dates(date(2026, 3, 9), date(2026, 3, 15)), ""),
        ("2026-03-01 2026-03-09", Dates(date(2026, 3, 1), date(2026, 3, 9)), ""),
        ("2026-03-01..2026-03-09", Dates(date(2026, 3, 1), date(2026, 3, 9)), ""),
        ("2026-03-01", Dates(date(2026, 3, 1), date(2026, 3, 11)), ""),
        ("Pip", Instants(END - timedelta(days=7), END), "Pip"),
        ("pip 2026-W10", Dates(date(2026, 3, 2), date(2026, 3, 8)), "pip"),
        ("3 days", Instants(END - timedelta(days=3), END), ""),
        ("Pip, the last two weeks", Instants(END - timedelta(days=14), END), "Pip"),
        (
            "los \u00faltimos 5 d\u00edas de \u00d1a\u00f1a",
            Instants(END - timedelta(days=5), END),
            "\u00d1a\u00f1a",
        ),
        ("a month", Instants(END - timedelta(days=30), END), ""),
        ("last month", Dates(date(2026, 2, 1), date(2026, 2, 28)), ""),
        ("el mes pasado", Dates(date(2026, 2, 1), date(2026, 2, 28)), ""),
        ("this month pip", Dates(date(2026, 3, 1), date(2026, 3, 11)), "pip"),
        ("last week", Dates(date(2026, 3, 2), date(2026, 3, 8)), ""),
        ("esta semana", Dates(date(2026, 3, 9), date(2026, 3, 11)), ""),
        ("pip yesterday", Dates(date(2026, 3, 10), date(2026, 3, 10)), "pip"),
        ("hoy", Dates(date(2026, 3, 11), date(2026, 3, 11)), ""),
        ("since monday", Dates(date(2026, 3, 9), date(2026, 3, 11)), ""),
        ("Pip since 3 March", Dates(date(2026, 3, 3), date(2026, 3, 11)), "Pip"),
        ("1 march to 7 march", Dates(date(2026, 3, 1), date(2026, 3, 7)), ""),
        ("May", Instants(END - timedelta(days=7), END), "May"),
        ("little pip 3", Instants(END - timedelta(days=3), END), "little pip"),
    ],
)
def test_words_name_a_time_and_the_rest_is_a_name(text: str, span: Dates | Instants, left: str) -> None:
    assert span_from(text, now=NOW, zone=HALIFAX) == (span, left)


@pytest.mark.parametrize(
    "text",
    ["0 days", "100 days", "4 months", "from 7 march to 1 march", "0", "93", "9999", "2026-W60", "2025-W53", "2026-02-30", "2026-03-09 2026-03-01", "2026-03-12", "2025-01-01 2026-03-01", "2026-W12", "2026-03-01 2026-03-02 2026-03-03"],
)  # fmt: skip
def test_a_time_that_cannot_be_used_is_a_problem(text: str) -> None:
    with pytest.raises(SpanProblem):
        span_from(text, now=NOW, zone=HALIFAX)


moments = st.integers(0, 3_800_000_000).map(lambda seconds: datetime.fromtimestamp(seconds, UTC))
days = st.dates(date(1900, 1, 1), date(2198, 1, 1))


lengths = st.integers(0, 400).map(lambda number: timedelta(days=number))


@given(
    st.builds(lambda start, length: Instants(start, start + length), moments, lengths)
    | st.builds(lambda start, length: Dates(start, start + length), days, lengths)
)
def test_a_button_carries_a_span_and_brings_it_back(span: Dates | Instants) -> None:
    assert decoded(encoded(span)) == span
    assert len(encoded(span)) <= 15


@pytest.mark.parametrize(
    "span",
    [
        Dates(date(1900, 1, 1), date(2199, 12, 31)),
        Dates(date(9999, 12, 31), date(9999, 12, 31)),
        Dates(date(2026, 3, 2), date(2026, 3, 1)),
        Instants(datetime(1970, 1, 1, tzinfo=UTC), NOW),
    ],
)
def test_a_forged_span_that_takes_long_to_sum_up_is_none(span: Dates | Instants) -> None:
    assert decoded(encoded(span)) is None


@given(st.text(max_size=20))
def test_any_button_data_at_all_is_a_span_or_none(text: str) -> None:
    assert decoded(text) is None or isinstance(decoded(text), Instants | Dates)


@given(st.text())
def test_any_text_at_all_is_a_span_or_a_clear_problem(text: str) -> None:
    try:
        span, _ = span_from(text, now=NOW, zone=HALIFAX)
    except SpanProblem:
        return
    assert isinstance(span, Instants | Dates)
