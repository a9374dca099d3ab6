"""Short answers and asides: yes, no, a number, thanks, a greeting, awake, fewer or more reminders. Pure."""

from __future__ import annotations

import re
from typing import Literal

from bot.parsing.word_lists import either, holds, made_of, numbered, whole_of, words_in
from bot.replies.numbers import words_value
from bot.text import fold

Wish = Literal["fewer", "more"] | int  # a number: at most so many a day
YesNo = Literal["yes", "agreed", "no"]
Pleasantry = Literal["thanks", "greeting"]

MOST_WORDS_AWAKE = 8  # a longer message says more than that
_SHORT_IS = re.compile(r"'(s|re)(?!\w)")


def says_yes(text: str) -> bool:
    """Return whether a message is a yes and no more: "Yes, please", "sí", "ok", a thumbs-up."""
    return _is(text, "answers.yes", "answers.agreed")


def says_no(text: str) -> bool:
    """Return whether a message is a no and no more."""
    return _is(text, "answers.no")


def _is(text: str, *names: str) -> bool:
    return whole_of(_spoken(text, *names), names, ("answers.please",))


def answered_in_words(text: str) -> YesNo | None:
    """Return what a message answers to a question of ours: "yes she is", "no, leave it", "ok"; None for anything else.

    "agreed" is no plain yes: who says "ok" may only have read the question.
    """
    words = _spoken(text, "answers.yes", "answers.no", "answers.agreed")
    if whole_of(words, ("answers.no",), ("answers.no_tail", "answers.please")):
        return "no"
    if whole_of(words, ("answers.yes",), ("answers.agreed", "answers.yes_tail", "answers.please")):
        return "yes"
    return "agreed" if whole_of(words, ("answers.agreed",), ("answers.yes_tail", "answers.please")) else None


def _spoken(text: str, *names: str) -> tuple[str, ...]:
    """Return the words of a text, without the signs that no list knows: a smile after a yes changes nothing."""
    return tuple(
        word for word in words_in(text) if word[0].isalnum() or any(holds((word,), each) for each in names)
    )


def only_agrees(text: str) -> bool:
    """Return whether a message only takes note: "ok", "vale"; a sign such as a thumbs-up may say that it is done."""
    return answered_in_words(text) == "agreed" and not is_done_sign(text)


def is_done_sign(sign: str) -> bool:
    """Return whether a sign alone (a sticker, a reaction) says "done", whatever its skin tone."""
    return made_of(words_in(sign), ("answers.done",)) and bool(words_in(sign))


def says_off(text: str) -> bool:
    """Return whether a message takes a setting away: "off", "none", "quita"."""
    words = _spoken(text)
    return bool(words) and made_of(words, ("answers.off",))


def wants_back(text: str) -> bool:
    """Return whether who left says that they want to come back: "can I come back", "quiero volver"."""
    words = words_in(text)
    return len(words) <= MOST_WORDS_AWAKE and holds(words, "answers.come_back")


def says_more(text: str) -> bool:
    """Return whether a message speaks of more of something, or of something again."""
    return holds(words_in(text), "answers.more")


def number_in(text: str, most: int) -> int | None:
    """Return a bare whole number from 0 to `most`, in figures or as one word: "8", "8/10", "eight"; else None."""
    out_of = rf"(?:\s*/\s*{most}|\s+{either('answers.of_ten')}\s+{most})?"
    found = re.fullmatch(rf"[\s¡]*(?P<number>[^\W_]+){out_of}[\s.!]*", fold(text))
    if found is None:
        return None
    said = found["number"]
    if said.isdecimal():
        return int(said) if len(said) <= len(str(most)) and int(said) <= most else None
    value = words_value((said,))
    return int(value) if value is not None and value in range(most + 1) else None


def says_no_length(text: str) -> bool:
    """Return whether a message without a number says that nobody knows how long something took: "dunno how long"."""
    words = words_in(text)
    counted = any(word.isdecimal() or words_value((word,)) is not None for word in words)
    return not counted and holds(words, "answers.no_length")


def says_somebody_did(text: str) -> bool:
    """Return whether a message tells that something was done, by whomever."""
    return holds(words_in(text), "answers.somebody_did")


def pleasantry_in(text: str) -> Pleasantry | None:
    """Return whether a message is mere thanks or a mere greeting; None for anything that says more."""
    words = _spoken(text)
    if whole_of(words, ("thanks.words",), ("thanks.before", "thanks.after")):
        return "thanks"
    if whole_of(words, ("greeting.words",), ("greeting.after",)):
        return "greeting"
    return None


def says_awake(text: str) -> bool:
    """Return whether a short message says that the baby is awake now; asked only while the bot takes it to be asleep."""
    words = words_in(_SHORT_IS.sub(lambda found: " is" if found[1] == "s" else " are", fold(text)))
    if (
        len(words) > MOST_WORDS_AWAKE
        or holds(words, "awake.not_yet")
        or holds(words_in(text), "awake.not_yet")
    ):
        return False
    return holds(words, "awake.words") or (bool(words) and made_of(words, ("awake.alone",)))


def wants_fixed_times(text: str) -> bool:
    """Return whether a message asks that reminders stay at their times: "keep my times"."""
    return holds(words_in(text), "reminders.fixed")


def wish_in(text: str) -> Wish | None:
    """Return whether a message asks for fewer or more reminders, or for how many; None for anything else ("no more reminders" too)."""
    found: Wish | None = _most_a_day(text)
    if found is not None:
        return found
    if whole_of(_spoken(text), ("reminders.bare_fewer",), ("answers.please",)):
        return "fewer"
    for sentence in re.split(r"[.!?]", text):
        words = words_in(sentence)
        if holds(words, "reminders.fewer"):
            return "fewer"
        if holds(words, "reminders.more") and not holds(words, "reminders.none"):
            found = "more"
    return found


def _most_a_day(text: str) -> int | None:
    """Return how many reminders a day a whole message asks for: "only remind me twice a day", "máximo 3 avisos al día"."""
    words = words_in(text)
    numbers = [n for word in words if (n := _whole_number(word)) is not None]
    rest = [word for word in words if _whole_number(word) is None]
    if len(numbers) != 1 or not holds(rest, "a_day.day"):
        return None
    return (
        numbers[0]
        if whole_of(rest, ("a_day.reminders", "a_day.at_most"), ("a_day.day", "a_day.beside"))
        else None
    )


def _whole_number(word: str) -> int | None:
    if word.isdecimal() and len(word) <= 2:
        return int(word)
    return {**numbered("numbers"), **numbered("a_day_times")}.get(word)
