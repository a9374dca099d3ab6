"""Sixty messages of trouble through the running bot: what comes on which phone, and what the next day asks for.

They are all written to one clinic in one go, each by a family of its own, so that a minute of the bot's time serves for all.
"""

from __future__ import annotations

import asyncio
import re
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from bot.activities.library import load_library
from bot.phrases import words_for
from demo.messaging import MessageView, Person
from tests.features.concerns.sixty import FIRST, Kind
from tests.journeys.many_families import Clinic, Line, clinic_of, heard

KINDS: list[Kind] = [kind for (kind, _), texts in FIRST.items() for _ in texts]
LINES = [
    Line(text, language, reminded=kind == "arm")
    for (kind, language), texts in FIRST.items()
    for text in texts
]
NUMBERS = {"emergency_line": "555 0199", "crisis_line": "555 0199", "nurse_line": "555 0100"}
OF_THE_CARER = ("carer_self_harm", "carer_end", "carer_distress")
MEDICAL = ("act_now", "same_day", "found_face_down")
OF_HOME = ("harm_by_others", "unsafe_home", "left_alone", "neglect_food")
SAID = re.compile(
    r"slapped|locked us|pinch|bruise|pushed|yanks|threw|sleeping in the car|food left|night shift|bottles down"
    r"|empujó|le pega|tengo miedo|solita|alcanza",
    re.IGNORECASE,
)
ANSWERED = re.compile(r"safe place|lugar seguro|crisis|concern|preocupaci|peligro", re.IGNORECASE)


@dataclass
class Phones:
    """What was on the phones. at_once: of who wrote, before anything was pressed; views: what commands showed them later."""

    at_once: dict[int, list[str]] = field(default_factory=dict)
    opened: dict[int, str] = field(default_factory=dict)
    views: dict[int, list[str]] = field(default_factory=dict)
    copies: dict[int, str] = field(default_factory=dict)
    others: dict[int, list[str]] = field(default_factory=dict)
    alerts: dict[int, list[str]] = field(default_factory=dict)
    next_day: dict[int, list[str]] = field(default_factory=dict)


def numbers(*kinds: Kind) -> list[int]:
    return [number for number, kind in enumerate(KINDS) if kind in kinds]


def shown(message: MessageView) -> str:
    return " ".join([message.text or "", *message.labels()])


def advice(number: int, name: str) -> str:
    return words_for(LINES[number].language)(f"advice.{name}", **NUMBERS)


def was_asked(phones: Phones, number: int) -> bool:
    question = words_for(LINES[number].language)("advice.unclear", emergency_line="555 0199")
    return any(text.startswith(question) for text in phones.at_once[number])


@pytest.fixture(scope="module")
def phones(tmp_path_factory: pytest.TempPathFactory) -> Phones:
    return asyncio.run(_lived(tmp_path_factory.mktemp("sixty")))


async def _lived(folder: Path) -> Phones:
    phones = Phones()
    async with clinic_of(LINES, folder) as clinic:
        await clinic.everybody_writes()
        phones.at_once = {n: [shown(each) for each in heard(clinic.writer(n))] for n in range(len(LINES))}
        await clinic.at(9, 11)  # what was asked and not answered is forwarded
        phones.alerts = {n: [shown(each) for each in clinic.alerts_of(n)] for n in range(len(LINES))}
        await _look_around(clinic, phones)
        for alert in heard(clinic.therapist):
            if "Seen" in alert.labels():
                clinic.therapist.press("Seen", message_id=alert.message_id)
        await clinic.rehearsal.settle()
        before = {n: len(heard(clinic.writer(n))) for n in numbers("arm")}
        await clinic.at(12, 30, day=1)
        phones.next_day = {
            n: [shown(each) for each in heard(clinic.writer(n))[at:]] for n, at in before.items()
        }
        phones.others = {n: [shown(each) for each in heard(clinic.other(n))] for n in range(len(LINES))}
    return phones


async def _look_around(clinic: Clinic, phones: Phones) -> None:
    """Let who wrote of their home look at every view of theirs and fetch their copy, then open the answer."""
    before = {n: len(heard(clinic.writer(n))) for n in numbers("at_home")}
    for command in ("/today", "/week", "/privacy"):
        for n in before:
            clinic.writer(n).say(command)
    await clinic.rehearsal.settle()
    for n in before:
        _press_any(clinic.writer(n), "Send me my copy", "Mándame mi copia")
    await clinic.rehearsal.settle()
    for n, at in before.items():
        mine = heard(clinic.writer(n))[at:]
        phones.views[n] = [shown(each) for each in mine]
        phones.copies[n] = "\n".join(_words_of(clinic, each.file_id) for each in mine if each.file_id)
    for n in before:
        notice = _press_any(clinic.writer(n), "Open it", "Abrir")
        await clinic.rehearsal.settle()
        if notice is not None:
            phones.opened[n] = clinic.writer(n).message(notice).text


def _press_any(person: Person, *labels: str) -> int | None:
    """Press the last button that bears one of the labels; return its message, None where there is none."""
    for message in reversed(heard(person)):
        for label in labels:
            if label in message.labels():
                person.press(label, message_id=message.message_id)
                return message.message_id
    return None


def _words_of(clinic: Clinic, file_id: str) -> str:
    """Return a file's text; a picture has none."""
    content = clinic.server.service.files.get(file_id).content
    return "" if content.startswith(b"\x89PNG") else content.decode("utf-8")


@pytest.mark.parametrize("number", numbers("carer"))
def test_a_carer_reads_a_text_of_their_own_first(phones: Phones, number: int) -> None:
    first = phones.at_once[number][0]
    if not was_asked(phones, number):
        assert first.startswith(tuple(advice(number, name) for name in OF_THE_CARER))
        assert advice(number, "act_now") not in first
        assert LINES[number].text not in first
    _reached_the_therapist(phones, number)


@pytest.mark.parametrize("number", numbers("at_home"))
def test_home_is_on_no_screen_until_it_is_opened(phones: Phones, number: int) -> None:
    for text in (*phones.at_once[number], *phones.views[number]):
        assert not SAID.search(text) and not ANSWERED.search(text), text
    assert len(phones.copies[number]) > 500 and not SAID.search(phones.copies[number])
    if not was_asked(phones, number):
        assert advice(number, "discreet_button") in " ".join(phones.at_once[number])
        assert any(advice(number, name) in phones.opened[number] for name in OF_HOME)
    _reached_the_therapist(phones, number)


@pytest.mark.parametrize("number", numbers("arm"))
def test_the_arm_is_held_and_the_next_day_asks_for_the_head_alone(phones: Phones, number: int) -> None:
    _advised_or_asked(phones, number)
    _reached_the_therapist(phones, number)
    library, language = load_library(), LINES[number].language
    asked_for = "\n".join(phones.next_day[number])
    assert library.name("head_turning", language) in asked_for
    assert library.name("tummy_time", language) not in asked_for


@pytest.mark.parametrize("number", numbers("sleep"))
def test_the_words_on_safe_sleep_come_at_once(phones: Phones, number: int) -> None:
    safe = words_for(LINES[number].language)("sleep.safe")
    assert safe in "\n".join(phones.at_once[number][:2])


@pytest.mark.parametrize("number", numbers("feeding", "danger"))
def test_an_ill_baby_gets_the_text_of_its_urgency(phones: Phones, number: int) -> None:
    _advised_or_asked(phones, number)
    if KINDS[number] == "danger":
        assert phones.at_once[number][0].startswith(advice(number, "act_now"))
    _reached_the_therapist(phones, number)


@pytest.mark.parametrize("number", numbers("calm"))
def test_a_day_as_usual_brings_no_advice_and_no_alert(phones: Phones, number: int) -> None:
    said = "\n".join(phones.at_once[number])
    assert not any(advice(number, name) in said for name in (*OF_THE_CARER, *MEDICAL))
    assert not any("🔴" in text or "🟠" in text for text in phones.alerts[number])


@pytest.mark.parametrize("number", numbers("carer", "at_home", "feeding", "danger", "sleep", "calm"))
def test_the_other_carer_of_the_family_hears_nothing(phones: Phones, number: int) -> None:
    assert phones.others[number] == []


def _advised_or_asked(phones: Phones, number: int) -> None:
    first = phones.at_once[number][0]
    assert was_asked(phones, number) or first.startswith(tuple(advice(number, name) for name in MEDICAL))


def _reached_the_therapist(phones: Phones, number: int) -> None:
    """In the carer's own words, with what it was read as."""
    assert any(LINES[number].text in text and "Read as: " in text for text in phones.alerts[number])
