"""Every question of ours that a yes or a no can answer is answered by one, typed as well as tapped."""

from __future__ import annotations

import re
import tomllib
from importlib.resources import files

import pytest

from bot.features import verbs
from bot.features.routing.yes_no import PRESSED, button_for
from bot.parsing.answers import YesNo, answered_in_words

# Of each question its buttons, and which of them a yes and a no press ("": the question just ends).
QUESTIONS: dict[str, tuple[list[str], str | None, str | None]] = {
    "advice.unclear": (["isconcern:4", "noconcern:4"], "isconcern:4", "noconcern:4"),
    "advice.temperature": (["isconcern:4"], "isconcern:4", "isconcern:4"),
    "asides.self_ill": (["pause:ask", "pauseno"], "pause:ask", "pauseno"),
    "asides.hard_day": (["pause:ask", "pauseno"], "pause:ask", "pauseno"),
    "asides.no_nap": (["pause:ask", "pauseno"], "pause:ask", "pauseno"),
    "pause.unwell": (["pause:1", "pause:3", "pause:7", "pause:0", "pauseno"], "pause:ask", "pauseno"),
    "pause.away": (["pause:1", "pause:3", "pause:7", "pause:0", "pauseno"], "pause:ask", "pauseno"),
    "pause.offer": (["pause:1", "pause:3", "pause:7", "pause:0", "pauseno"], "pause:ask", "pauseno"),
    "load.is_least": (["pause:ask", "pauseno"], "pause:ask", "pauseno"),
    "hours.never": (["pause:ask", "pauseno"], "pause:ask", "pauseno"),
    "stop.leave_sure": (["leave", "pause:ask", "stay"], "leave", "stay"),
    "stop.reminders_off": (["remindersback", "leave", "stay"], "leave", "stay"),
    "rights.erase_sure": (["rights:erase:sure", "rights:keep"], "rights:erase:sure", "rights:keep"),
    "rights.erase_all_sure": (["rights:all:sure", "rights:keep"], "rights:all:sure", "rights:keep"),
    "shape.right_so": (["shape:ok", "shape:change"], "shape:ok", "shape:change"),
    "shape.shall_i": (["shape:apply", "shape:no"], "shape:apply", "shape:no"),
    "travel.shall_i": (["travel:go:2026-03-08:Europe/Madrid", "travel:no"], "travel:go:2026-03-08:Europe/Madrid", "travel:no"),
    "travel.shall_i_today": (["travel:go:2026-03-08:Europe/Madrid", "travel:no"], "travel:go:2026-03-08:Europe/Madrid", "travel:no"),
    "learned.ask": (["learned:7:yes", "learned:7:no", "learned:7:other"], "learned:7:yes", "learned:7:no"),
    "confidence.not_so_sure": (["how:bath", "ask:bath"], "how:bath", ""),
    "confidence.unsure": (["how:bath", "ask:bath"], "how:bath", ""),
    "confidence.tell_how": (["nottell:3"], None, "nottell:3"),  # what follows a yes is told in words
}  # fmt: skip
# Answered by which and how much, by a choice, or by features of their own: entries (count.*) and reminders.
CHOICES = {
    "babies.which", "change.which", "change.once_more", "check.which", "confidence.how_sure", "count.how_many", "count.how_many_times",
    "count.how_many_times_then", "count.which_activity", "count.which_one", "count.shall_i", "count.twin_question", "count.yes_to_which",
    "count.no_to_which", "duty.who", "howis.ask", "hours.weekend_which", "join.consent", "join.who", "join.ask_name", "pause.how_long", "refresh.which",
    "shape.ask_wake", "shape.ask_bed", "shape.ask_naps", "shape.ask_feeds", "shape.ask_bath", "shape.ask_quiet", "shape.ask_zone",
    "shape.which_part", "travel.where", "travel.where_home", "travel.many_zones", "travel.is_it", "travel.until_when",
}  # fmt: skip
# Parts of a question, advice that asks to look and not to write, and texts that quote a question.
NO_QUESTIONS = {
    "advice.act_now", "advice.either_now", "advice.either_today", "advice.unwell", "advice.arm_treated", "advice.unsafe_home", "advice.left_alone", "advice.found_face_down",
    "card.easier", "card.emergency", "card.emergency_short", "card.therapist_first", "change.questions", "chatter.near", "help.carer",
    "sleep.unsafe", "short.tell_more", "travel.same_time", "unkept.act_now", "learned.nap_moved", "learned.nap_new", "learned.nap_gone",
    "learned.night_begins", "learned.night_ends", "learned.feed_moved", "learned.feed_new",
}  # fmt: skip
NOT_FOR_CARERS = {
    "arm", "cover", "digest", "discharge", "groups", "handout", "handover", "material", "page", "plan", "plan_checks", "remove", "setup",
    "therapist",
}  # fmt: skip


def asked_of_carers() -> set[str]:
    found = set()
    for source in files("bot.phrases").joinpath("en").iterdir():
        topic = source.name.removesuffix(".toml")
        if topic in NOT_FOR_CARERS or not source.name.endswith(".toml"):
            continue
        for key, text in tomllib.loads(source.read_text(encoding="utf-8")).items():
            if "?" in re.sub(r'"[^"]*"', "", str(text)):
                found.add(f"{topic}.{key}")
    return found


def test_every_question_that_a_carer_reads_stands_in_one_of_these_tables() -> None:
    known = set(QUESTIONS) | CHOICES | NO_QUESTIONS
    assert asked_of_carers() - known == set()


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_yes_and_a_no_press_the_buttons_that_a_tap_would(question: str) -> None:
    buttons, yes, no = QUESTIONS[question]

    assert button_for(buttons, "yes") == yes
    assert button_for(buttons, "no") == no
    for each in (yes, no):
        read = verbs.pressed(each) if each else None
        assert not each or (read is not None and read[0] in PRESSED)


@pytest.mark.parametrize(
    "buttons",
    [
        ["undo:3", "change:3"],
        ["more:bath", "ask:bath"],
        ["how:bath", "how:rolling"],
        ["pause:1", "pause:3", "resume"],
        ["one:3", "two:3"],
        ["baby:3:f1", "baby:3:f2", "baby:3:*"],
        ["howis:3:better", "howis:3:same", "howis:3:worse"],
    ],
)
def test_a_message_that_asks_for_no_yes_is_not_answered_by_one(buttons: list[str]) -> None:
    assert button_for(buttons, "yes") is None
    assert button_for(buttons, "no") is None


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("yes", "yes"),
        ("yeah she is", "yes"),
        ("Yes please!", "yes"),
        ("yes change it", "yes"),
        ("sí, ahora mismo", "yes"),
        ("claro que sí", "yes"),
        ("no", "no"),
        ("No, it isn't", "no"),
        ("nope, leave it", "no"),
        ("no, déjalo", "no"),
        ("no gracias", "no"),
        ("ok", "agreed"),
        ("alright", "agreed"),
        ("claro", "agreed"),
        ("vale", "agreed"),
        ("👍", "agreed"),
        ("yes 10 min", None),
        ("no tummy today", None),
        ("yes but only the football one", None),
        ("no he cries", None),
    ],
)
def test_what_is_a_yes_what_a_no_and_what_only_agrees(text: str, said: YesNo | None) -> None:
    assert answered_in_words(text) == said
