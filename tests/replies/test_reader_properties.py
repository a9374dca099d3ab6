"""What must hold for every reply, whatever its words."""

from __future__ import annotations

import json
import unicodedata

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from bot.replies.marks import marks_of
from bot.replies.reader import read_reply
from bot.replies.reading import Reading
from bot.replies.tokens import tokens_of
from tests.replies.said import PROMPTS, context, read
from tests.replies.test_reader_tables import TABLES, rows

PLAIN = [
    (text, language, prompt)
    for table in TABLES
    if table.stem in ("minutes", "sides", "several_entries", "skips", "corrections", "activities", "later")
    for text, language, prompt, _ in rows(table)
    if "\n" not in text
]
replies = st.sampled_from(PLAIN)
WORDS = sorted({word for text, _, _ in PLAIN for word in text.split()})
STATES_AN_AMOUNT = {
    "number", "one", "article", "couple", "unit", "fraction", "twice", "times", "heard", "half_of", "multiply",
}  # fmt: skip


def states_an_amount(word: str) -> bool:
    marks = marks_of(word, tokens_of(word), "en") + marks_of(word, tokens_of(word), "es")
    return any(mark.kind in STATES_AN_AMOUNT or mark.kind in ("clock", "date") for mark in marks)


WITHOUT_AMOUNTS = [word for word in WORDS if not states_an_amount(word)]
NEUTRAL_EMOJI = ["🐣", "🍼", "🌈", "🐻", "☕"]


def meaning(reading: Reading) -> dict[str, object]:
    """Return a reading without the words that it left unread."""
    document = reading.as_json()
    document.pop("unread")
    return document


@given(replies)
def test_shouting_changes_nothing(reply: tuple[str, str, str]) -> None:
    text, language, prompt = reply

    assert meaning(read(text.upper(), prompt, language)) == meaning(read(text, prompt, language))


@given(replies)
def test_missing_accents_change_nothing(reply: tuple[str, str, str]) -> None:
    text, language, prompt = reply
    bare = "".join(c for c in unicodedata.normalize("NFD", text) if unicodedata.category(c) != "Mn")

    assert meaning(read(bare, prompt, language)) == meaning(read(text, prompt, language))


@given(replies)
def test_accents_typed_as_separate_marks_change_nothing(reply: tuple[str, str, str]) -> None:
    text, language, prompt = reply

    decomposed = read(unicodedata.normalize("NFD", text), prompt, language)

    assert meaning(decomposed) == meaning(read(text, prompt, language))


@given(replies, st.lists(st.sampled_from(NEUTRAL_EMOJI), min_size=1, max_size=3))
def test_an_emoji_without_meaning_at_the_end_changes_nothing(
    reply: tuple[str, str, str], emoji: list[str]
) -> None:
    text, language, prompt = reply

    assert meaning(read(f"{text} {''.join(emoji)}", prompt, language)) == meaning(
        read(text, prompt, language)
    )


@given(
    replies, st.sampled_from(["hi, {}", "{} thank you", "{}, thanks!", "hello {}", "hola, {}", "{} gracias"])
)
def test_politeness_changes_nothing(reply: tuple[str, str, str], manners: str) -> None:
    text, language, prompt = reply

    assert meaning(read(manners.format(text), prompt, language)) == meaning(read(text, prompt, language))


@given(
    st.lists(
        st.sampled_from(["tummy 10", "football 5 left", "side lying 7 mins", "bath 12 minutes", "de lado 4"]),
        min_size=2, max_size=4, unique=True,
    ),
    st.sampled_from([", ", ". ", "\n", "; ", " and "]),
    st.randoms(use_true_random=False),
)  # fmt: skip
def test_the_order_of_clauses_changes_no_entry(clauses: list[str], joint: str, random: object) -> None:
    shuffled = sorted(clauses)

    first = read(joint.join(clauses), "")
    second = read(joint.join(shuffled), "")

    assert set(first.entries) == set(second.entries)
    assert len(first.entries) == len(clauses)


@given(
    st.integers(1, 240),
    st.sampled_from(["tummy {} min", "{} minutes of tummy", "hicimos {} boca abajo", "{} tummy"]),
)
def test_a_stated_number_of_minutes_comes_back_exactly(minutes: int, form: str) -> None:
    reading = read(form.format(minutes), "")

    assert [(e.activity, e.minutes) for e in reading.entries] == [("tummy_time", minutes)]
    assert not reading.confirm


@given(
    st.integers(2, 9),
    st.integers(2, 20),
    st.sampled_from(["{n} x {m} min", "{m} min {n} times", "{n} veces de {m}"]),
)
def test_repeats_multiply(times: int, minutes: int, form: str) -> None:
    reading = read(form.format(n=times, m=minutes))

    assert [e.minutes for e in reading.entries] == [times * minutes]


@given(st.lists(st.sampled_from(WITHOUT_AMOUNTS), min_size=1, max_size=10), st.sampled_from(["", "tummy"]))
@settings(max_examples=300)
def test_minutes_are_never_invented(words: list[str], prompt: str) -> None:
    """Where no word states an amount, all that can be counted is what the reminder asked for."""
    reading = read(" ".join(words), prompt)

    counted = {entry.minutes for entry in reading.entries if entry.minutes is not None}
    assert counted <= ({10} if prompt else set())


@given(st.text(max_size=300), st.sampled_from(sorted(PROMPTS)), st.sampled_from(["en", "es"]))
@example("9" * 4096, "tummy", "en")
@example("no " * 1300, "tummy", "es")
@example("½⅓²٣٤٥ １０ min", "tummy", "en")
@example("'" * 500 + "10'" * 200, "tummy", "en")
@example("\ud800 10", "tummy", "en")
@example("0:99 to 99:00 till -5-5--5", "tummy", "en")
@example("1/0 hour 3/0 h", "tummy", "en")
@settings(max_examples=300, deadline=None)
def test_any_text_at_all_gives_a_reading(text: str, prompt: str, language: str) -> None:
    reading = read_reply(text, context(prompt, language))

    json.dumps(reading.as_json())
    assert all(e.minutes is None or e.minutes == e.minutes for e in reading.entries)


STRANGE = {"zebra", "plonk"}
SAYS_DONE = {word for word in WORDS for mark in marks_of(word, tokens_of(word), "en") if mark.kind == "did"}


def names_who_did_it(words: list[str]) -> bool:
    """Return whether a strange word may be who did something, which is accounted for: "zebra lasted"."""
    return any(word in STRANGE and SAYS_DONE & set(words[at + 1 : at + 4]) for at, word in enumerate(words))


@given(st.lists(st.sampled_from([*WORDS, ",", ".", "\n", "?", *sorted(STRANGE)]), min_size=1, max_size=14))
@example(["(10", "I'll", "zebra"])
@example(["zebra", "I'll", "do", "10"])
@example(["remind", "me", "later", "zebra"])
@settings(max_examples=300, deadline=None)
def test_words_that_nothing_knows_are_kept_in_unread(words: list[str]) -> None:
    assume(not names_who_did_it(words))
    reading = read(" ".join(words))

    for strange in STRANGE & set(words):
        assert strange in (reading.unread or "") or (reading.request and reading.request.kind != "later")


PLANS = ["I'll", "i will", "we'll", "gonna", "I'm going to", "voy a", "vamos a", "we want to"]
DEEDS = ["ring my gran", "bake a cake", "paint the wall", "zebra", "pasear al perro", "buy carrots"]


@given(
    st.integers(1, 90),  # a bare 100 may be a temperature in °F
    st.sampled_from(["", " min", " minutes"]),
    st.sampled_from(PLANS),
    st.sampled_from(DEEDS),
)
def test_a_plan_of_something_else_leaves_the_minutes_before_it(
    minutes: int, unit: str, plan: str, deed: str
) -> None:
    reading = read(f"{minutes}{unit} {plan} {deed}")

    assert [entry.minutes for entry in reading.entries] == [minutes]
    assert reading.request is None or reading.request.kind != "later"


@given(
    st.integers(1, 240),
    st.sampled_from(["I'll", "we'll", "gonna", "voy a"]),
    st.sampled_from(["do it later", "do it tonight", "hacerlo luego"]),
)
def test_a_plan_to_do_it_takes_the_minutes_before_it_along(minutes: int, plan: str, deed: str) -> None:
    reading = read(f"{minutes} {plan} {deed}")

    assert not reading.entries
    assert reading.request is not None
    assert reading.request.kind == "later"


@pytest.mark.parametrize(
    "text", ["the cat sat in the fridge window again", "mi vecina vendió su bicicleta", "qwerty asdf"]
)
def test_a_text_that_yields_nothing_comes_back_whole(text: str) -> None:
    assert read(text).unread == text
    assert not read(text).entries


@pytest.mark.parametrize("minutes", [241, 500, 9999])
def test_more_than_four_hours_is_asked_about(minutes: int) -> None:
    assert read(f"tummy {minutes} min").confirm


@given(st.text(max_size=120), st.sampled_from(["", "tummy"]))
def test_reading_twice_gives_the_same(text: str, prompt: str) -> None:
    assert read(text, prompt) == read(text, prompt)
