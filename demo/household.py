"""The scenario's people at their phones: they see what the bot says and answer by their habits, late, twice, or not."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial

from demo.messaging import MessagingServer
from demo.messaging.views import MessageView
from demo.scenario import Answer, Habits, Scenario

EDIT_AFTER = timedelta(minutes=2)


class Household:
    """Keeps what people are about to do, and does it when its time has come, through the messaging server."""

    def __init__(self, scenario: Scenario, server: MessagingServer) -> None:
        self.scenario, self._server = scenario, server
        self._number = itertools.count()
        self._plans: list[tuple[datetime, int, int, Callable[[], object]]] = []
        self.taken: set[int] = set()  # whose phone somebody else has: their habits do nothing
        self._seen: dict[int, int] = {}
        self._turns = {
            (chat_id, kind): itertools.cycle(getattr(habits, kind))
            for chat_id, habits in scenario.habits.items()
            for kind in Habits.__dataclass_fields__
            if getattr(habits, kind)
        }
        for moment in scenario.moments:
            self._plan(moment.at, moment.chat_id, partial(server.people[moment.chat_id].say, moment.say))

    def next_at(self) -> datetime | None:
        """Return when somebody does something next."""
        return self._plans[0][0] if self._plans else None

    def act(self, now: datetime) -> None:
        """Do what people do by `now`."""
        while self._plans and self._plans[0][0] <= now:
            _, _, chat_id, do = heapq.heappop(self._plans)
            if chat_id not in self.taken:
                do()

    def look(self, now: datetime) -> None:
        """Let everybody see what has come, and make up their minds."""
        for person in self._server.people:
            for message in person.messages(by_bot=True):
                if message.message_id > self._seen.get(person.id, 0):
                    self._seen[person.id] = message.message_id
                    self._decide(message, now)

    def _decide(self, message: MessageView, now: datetime) -> None:
        kind = _kind(message)
        turns = self._turns.get((message.chat_id, kind)) if kind else None
        if turns is not None:
            answer = next(turns)
            if not answer.nothing:
                self._plan(
                    now + answer.after, message.chat_id, lambda: self._do(message, answer, now + answer.after)
                )

    def _do(self, message: MessageView, answer: Answer, now: datetime) -> None:
        person = self._server.people[message.chat_id]
        if answer.tap is not None:
            stands = person.message(message.message_id)
            label = stands.labels()[0] if answer.tap == "first" and stands.buttons else answer.tap
            if label in stands.labels():
                person.press(label, message_id=message.message_id)
        if answer.say is None:
            return
        said = person.say(answer.say)
        if answer.twice:
            self._plan(now + timedelta(seconds=20), message.chat_id, lambda: person.say(answer.say or ""))
        if answer.then_edit is not None:
            self._plan(now + EDIT_AFTER, message.chat_id, lambda: person.edit(said, answer.then_edit or ""))

    def _plan(self, at: datetime, chat_id: int, do: Callable[[], object]) -> None:
        heapq.heappush(self._plans, (at, next(self._number), chat_id, do))


def _kind(message: MessageView) -> str | None:
    """Tell reminders, alerts and questions apart by the buttons they carry, as a person does by looking."""
    data = {(button.data or "").partition(":")[0] for line in message.buttons for button in line}
    if "done" in data:
        return "answers"
    if "seen" in data:
        return "alerts"
    return "questions" if "reply" in data else None
