"""The carers of the invented families at their phones: they see a reminder, and answer it by the habits of their kind."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from random import Random
from zoneinfo import ZoneInfo

from bot.domain.ids import FamilyId
from demo.messaging import MessagingServer
from demo.messaging.views import MessageView
from demo.weeks.kinds import Kind, State, TrueDay, true_day
from scheduling.plan import Plan

WRITTEN = {
    "en": ("{n} min", "did {n} min", "{n} minutes, then she had enough"),
    "es": ("{n} min", "hicimos {n} min", "{n} minutos y ya no quiso"),
}
SECOND_HOME_FROM = 3  # Thursday: the weekdays from which the baby is in the second home


@dataclass(slots=True)
class LivedFamily:
    """One invented family. chats: its carers', in the order of homes. timed: of each reminder seen, when and whether it fit."""

    id: FamilyId
    kind: Kind
    plan: Plan
    zone: ZoneInfo
    language: str
    chats: tuple[int, ...]
    random: Random
    days: dict[date, TrueDay] = field(default_factory=dict)
    timed: list[tuple[datetime, bool]] = field(default_factory=list)

    def home_on(self, day: date) -> int:
        return int(len(self.chats) > 1 and day.weekday() >= SECOND_HOME_FROM)

    def day(self, day: date) -> TrueDay:
        if day not in self.days:
            self.days[day] = true_day(
                self.kind, self.plan.awake, self.plan.feeds, self.home_on(day), self.random
            )
        return self.days[day]


class People:
    """Keeps what the carers are about to do, and does it when its time has come."""

    def __init__(self, families: list[LivedFamily], server: MessagingServer) -> None:
        self._server = server
        self._of_chat = {chat: family for family in families for chat in family.chats}
        self._seen = 0
        self._number = itertools.count()
        self._plans: list[tuple[datetime, int, Callable[[], object]]] = []

    def next_at(self) -> datetime | None:
        return self._plans[0][0] if self._plans else None

    def act(self, now: datetime) -> None:
        while self._plans and self._plans[0][0] <= now:
            heapq.heappop(self._plans)[2]()

    def look(self, now: datetime) -> None:
        """Let everybody see the reminders that have come, and make up their minds."""
        events = list(self._server.events.since(self._seen))
        self._seen = self._server.events.last
        for event in events:
            family = self._of_chat.get(event["chat_id"])
            if family is None or event["kind"] != "message" or not event["message"]["from"]["is_bot"]:
                continue
            message = self._server.people[event["chat_id"]].message(event["message"]["message_id"])
            if (asked := _minutes_asked(message)) is not None:
                self._reminded(family, message, asked, now)

    def _reminded(self, family: LivedFamily, message: MessageView, asked: int, now: datetime) -> None:
        local = now.astimezone(family.zone)
        home = family.home_on(local.date())
        if family.chats[home] != message.chat_id:
            return  # the baby is with the other carer today
        state = family.day(local.date()).state(local.hour * 60 + local.minute)
        family.timed.append((local, state == "awake"))
        random, kind = family.random, family.kind
        if random.random() < kind.answers:
            after = timedelta(minutes=random.randint(*kind.after))
            do = self._answer(family, message, asked, state)
            heapq.heappush(self._plans, (now + after, next(self._number), do))

    def _answer(
        self, family: LivedFamily, message: MessageView, asked: int, state: State
    ) -> Callable[[], object]:
        random, kind = family.random, family.kind
        by_tap = random.random() < kind.taps
        puts_off = random.random() < kind.puts_off
        minutes = max(1, round(asked * random.uniform(*kind.gives)))
        said = random.choice(WRITTEN[family.language]).format(n=minutes)
        put_off = random.choice(("later", "notnow"))
        if state == "asleep":
            return lambda: self._tap(message, "asleep")
        if state == "feeding":
            return lambda: self._tap(message, "later")
        if puts_off:
            return lambda: self._tap(message, put_off)
        if by_tap:
            return lambda: self._tap(message, "done")
        person = self._server.people[message.chat_id]
        return lambda: person.say(said, reply_to=message.message_id)

    def _tap(self, message: MessageView, verb: str) -> None:
        """Tap the button of a verb where the message still has it: somebody else may have answered."""
        person = self._server.people[message.chat_id]
        data = _data(person.message(message.message_id), verb)
        if data is not None:
            person.press(data=data, message_id=message.message_id)


def _data(message: MessageView, verb: str) -> str | None:
    found = (button.data for row in message.buttons for button in row)
    return next((data for data in found if data and data.partition(":")[0] == verb), None)


def _minutes_asked(message: MessageView) -> int | None:
    """Return what the button of a reminder offers to count; None for any other message."""
    for row in message.buttons:
        for button in row:
            if button.data and button.data.startswith("done:"):
                return next((int(word) for word in button.text.split() if word.isdecimal()), None)
    return None
