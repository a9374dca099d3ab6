"""Random lives of three families against a small model: what counts, what is told to whom, and that nobody reads of others.

Steps are what carers, therapists, strangers, the clinic and the clock do, with restarts and with crashes before a commit. Every
run takes the same steps, about fifteen hundred; `UNDERWING_MODEL_STEPS=20000` takes more, others each time, and shrinks what fails.
"""

from __future__ import annotations

import os
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from bot.features import verbs
from tests.model.model import COMMANDS, HOME, SIGNS, STRANGER, THERAPIST_CHATS, Counted, Model
from tests.model.world import Delivered, World

MORE = int(os.environ.get("UNDERWING_MODEL_STEPS", "0"))
STEPS_A_LIFE = 100
LIVES = max(16, MORE // STEPS_A_LIFE)

CARERS = st.sampled_from(sorted(HOME))
THERAPISTS = st.sampled_from(sorted(THERAPIST_CHATS))
ANYBODY = st.sampled_from([*sorted(HOME), *sorted(THERAPIST_CHATS), STRANGER])


class Lives(RuleBasedStateMachine):
    """Each rule does something in the world and says in the model what must have come of it."""

    def __init__(self) -> None:
        super().__init__()
        self.world = World()
        self.model = Model()

    # ------------------------------------------------------------ what counts

    @rule(chat=CARERS, crash=st.booleans())
    def tells_minutes(self, chat: int, crash: bool) -> None:
        """A message that a crash takes back is handed over again."""
        self._let_pass(3)
        minutes = self.model.new_minutes()
        text, number = f"{minutes:g} min tummy time", self.world.next_number()
        if crash:
            self._breaks_off(chat, text, number)
        shown = self._read(self.world.says(chat, text, number=number))
        undo = _buttons(shown, verbs.UNDO.name)
        if chat in self.model.seated:
            assert len(undo) == 1, f"{text} was not counted: {[each.said for each in shown]}"
            self.model.counted[chat, number] = Counted(undo[0][1], undo[0][0], minutes)
        else:
            assert not undo

    @precondition(lambda self: self.model.counted)
    @rule(data=st.data(), times=st.integers(1, 2))
    def takes_minutes_back(self, data: st.DataObject, times: int) -> None:
        """A second press of the same button changes nothing."""
        chat, number = data.draw(st.sampled_from(sorted(self.model.counted)))
        told = self.model.counted[chat, number]
        for _ in range(times):
            self._read(self.world.presses(chat, told.undo, told.under))
        if chat in self.model.seated:
            del self.model.counted[chat, number]

    @precondition(lambda self: self.model.counted)
    @rule(data=st.data())
    def corrects_minutes(self, data: st.DataObject) -> None:
        """The message is edited: what it says now counts, and not what it said."""
        chat, number = data.draw(st.sampled_from(sorted(self.model.counted)))
        self._let_pass(1)
        minutes = self.model.new_minutes(other_than=self.model.counted[chat, number].minutes)
        shown = self._read(self.world.edits(chat, number, f"{minutes:g} min tummy time"))
        if chat in self.model.seated:
            undo = _buttons(shown, verbs.UNDO.name)
            assert len(undo) == 1, f"the edit was not counted: {[each.said for each in shown]}"
            self.model.counted[chat, number] = Counted(undo[0][1], undo[0][0], minutes)

    # ------------------------------------------------------------ what is told

    @rule(chat=CARERS, sign=st.sampled_from(sorted(SIGNS)), crash=st.booleans())
    def tells_a_sign(self, chat: int, sign: str, crash: bool) -> None:
        self._let_pass(3)
        number = self.world.next_number()
        if crash:
            self._breaks_off(chat, sign, number)
        seated = chat in self.model.seated
        if seated:
            self.model.told_sign(HOME[chat], sign, self.world.clock.now())
        shown = self._read(self.world.says(chat, sign, number=number))
        assert any(each.chat_id == chat and each.kind == "concern" for each in shown), "it gets its advice"
        alerted = {each.chat_id for each in shown if sign in each.said} - {chat}
        assert alerted >= ({self.model.keepers[HOME[chat]]} if seated else set()), (
            "the therapist has it at once"
        )
        assert seated or not alerted

    @precondition(lambda self: self.model.unseen_since)
    @rule(therapist=THERAPISTS, data=st.data())
    def a_therapist_sees(self, therapist: int, data: st.DataObject) -> None:
        now = self.world.clock.now()
        shown = [
            (under, button)
            for under, button in _buttons(self.world.shown, verbs.SEEN.name, chat=therapist)
            if self.model.may_read(therapist, {self.model.family_of_concern(button)}, concern_at=now)
        ]
        if shown:
            under, button = data.draw(st.sampled_from(shown))
            self._read(self.world.presses(therapist, button, under))
            self.model.seen(button)

    @rule(half_hours=st.integers(1, 4))
    def time_goes_on(self, half_hours: int) -> None:
        for _ in range(half_hours):
            told_by_now = self.model.goes_to_all(self.world.clock.now(), surely=True)
            self._read(self.world.wait(timedelta(minutes=31)))
            for family in told_by_now:
                assert self.model.alerted[family] >= self.model.working, "in the end the whole clinic has it"

    @rule(chat=CARERS)
    def pauses(self, chat: int) -> None:
        self._read(self.world.presses(chat, verbs.PAUSE.data(0), 1))
        if chat in self.model.seated:
            self.model.paused.add(HOME[chat])

    @rule(chat=CARERS)
    def goes_on(self, chat: int) -> None:
        self._read(self.world.presses(chat, verbs.RESUME.data(), 1))
        if chat in self.model.seated:
            self.model.paused.discard(HOME[chat])

    # ------------------------------------------------------------ who is in

    @precondition(lambda self: len(self.model.seated) > 2)
    @rule(data=st.data())
    def a_carer_is_put_out(self, data: st.DataObject) -> None:
        chat = data.draw(st.sampled_from(sorted(self.model.seated)))
        del self.model.seated[chat]
        shown = self.world.put_out(HOME[chat], chat)
        # The last word to them says so, and may name the baby.
        self._read([each for each in shown if each.chat_id != chat])

    @precondition(lambda self: len(self.model.seated) < len(HOME))
    @rule(data=st.data(), thief=ANYBODY)
    def a_carer_comes_back(self, data: st.DataObject, thief: int) -> None:
        """By a new invitation, which works once: whoever has the code afterwards gets nothing by it."""
        chat = data.draw(st.sampled_from(sorted(HOME.keys() - self.model.seated)))
        code = self.world.invite_back(HOME[chat], chat)
        self.model.seated[chat] = HOME[chat]
        shown = self._read(self.world.says(chat, code))
        # Who they are is asked first where nobody said it.
        for verb, agreed in ((verbs.WHO, "mother"), (verbs.CONSENT, "yes")):
            for under, button in _buttons(shown, verb.name):
                if button == verb.data(agreed):
                    shown = self._read(self.world.presses(chat, button, under))
        if thief not in (self.model.seated.keys() | THERAPIST_CHATS):
            self._read(self.world.says(thief, code))

    @precondition(lambda self: len(self.model.working) > 1)
    @rule(therapist=THERAPISTS, chance=st.integers(0, 3))
    def a_therapist_is_put_out(self, therapist: int, chance: int) -> None:
        if chance:
            return
        heir = next(each for each in self.model.working if each != therapist)
        self.model.therapist_left(therapist, heir)
        self._read(self.world.put_out_therapist(THERAPIST_CHATS[therapist], THERAPIST_CHATS[heir]))

    @rule(chat=ANYBODY, command=st.sampled_from(COMMANDS))
    def asks(self, chat: int, command: str) -> None:
        self._let_pass(1)
        shown = self.world.says(chat, command)
        if command == "/privacy" and chat in HOME and chat not in self.model.seated:
            shown = [
                each for each in shown if each.chat_id != chat
            ]  # who left has a right to their own words
        self._read(shown)

    @rule(chat=ANYBODY, data=st.data())
    def forges_a_press(self, chat: int, data: st.DataObject) -> None:
        """Somebody sends what stands on others' buttons, under a message of their own."""
        own = {button for each in self.world.shown if each.chat_id == chat for button in each.data}
        others = sorted(
            {
                button
                for each in self.world.shown
                if not self.model.may_read(chat, self.model.concerned(each))
                for button in each.data
                if ":" in button and any(part.isdigit() for part in button.split(":")[1:])
            }
            - own
        )
        if others:
            button = data.draw(st.sampled_from(others))
            if button.split(":")[0] != verbs.PAUSE.name:  # says nothing of whose it is: their own family's
                self._read(self.world.presses(chat, button, 1))

    @rule(text=st.sampled_from(("10 min tummy time", "hello", "how is the baby", "/start nonsense")))
    def a_stranger_writes(self, text: str) -> None:
        self._read(self.world.says(STRANGER, text))

    # ------------------------------------------------------------ what always holds

    @invariant()
    def nothing_else_counts_and_every_sign_is_a_concern(self) -> None:
        """What was told and not taken back."""
        assert self.world.kept() == (self.model.minutes(), self.model.signs)

    def _breaks_off(self, chat: int, text: str, number: int) -> None:
        """The machine stops before the commit of a message, and starts again."""
        assert not self.world.says(chat, text, number=number, crash=True)
        self.world.restart()
        self.nothing_else_counts_and_every_sign_is_a_concern()

    def _let_pass(self, minutes: int) -> None:
        self.world.clock.advance(timedelta(minutes=minutes))

    def _read(self, shown: list[Delivered]) -> list[Delivered]:
        """Hold everything that is delivered against who may read it."""
        self.model.check(shown, self.world.clock.now())
        return shown

    def teardown(self) -> None:
        self.world.store.close()


def _buttons(shown: list[Delivered], verb: str, *, chat: int | None = None) -> list[tuple[int, str]]:
    """Return the message and the data of each button of a verb, in a chat or in all."""
    return [
        (each.message_id, button)
        for each in shown
        if chat in (None, each.chat_id)
        for button in each.data
        if button.split(":")[0] == verb
    ]


@pytest.mark.timeout(120 + MORE)
def test_random_lives_keep_to_the_model() -> None:
    run_state_machine_as_test(
        Lives,
        settings=settings(
            max_examples=LIVES,
            stateful_step_count=STEPS_A_LIFE,
            derandomize=not MORE,
            deadline=None,
            phases=[Phase.generate, Phase.shrink] if MORE else [Phase.generate],
            suppress_health_check=list(HealthCheck),
        ),
    )
