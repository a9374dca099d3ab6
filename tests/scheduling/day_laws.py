"""The laws of turns within goals and of early hours, checked on an answer by trying every replacement and every move."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from tests.scheduling.day_facts import MINUTE, DayFacts, shortfall

Session = tuple[int, int, str]
"""(start, minutes, activity)."""


class Laws:
    def __init__(self, case: dict[str, Any], answered: dict[str, Any]) -> None:
        self.facts = DayFacts(case)
        self.activities = {each["activity"]: each for each in self.facts.plan["activities"]}
        self.order = list(self.activities)
        self.day: list[Session] = [
            (
                int((datetime.fromisoformat(prompt["at"]) - self.facts.begin) / MINUTE),
                prompt["minutes"],
                prompt["activity"],
            )
            for prompt in answered["prompts"]
        ]
        self.logged = {
            name: sum(
                self.facts.minutes_logged(each, self.facts.day - timedelta(days=ago)) for ago in range(7)
            )
            for name, each in self.activities.items()
        }

    def broken(self) -> list[str]:
        """Return what could be given to another activity, or be moved to an early start."""
        found = [f"turn: {given} of {self.day}" for given in self.turns_due(self.day)]
        count = self.early(self.day)
        for moved in self.moves():
            if self.early(moved) > count and self.keeps_rules(moved) and not any(self.turns_due(moved)):
                found.append(f"early: {self.day} could be {moved}")
                break
        return found

    def turns_due(self, day: list[Session]) -> Iterator[tuple[Session, str]]:
        """Yield each prompt that another activity of a goal should have, and that activity."""
        short = self.short(day)
        for place, (start, minutes, name) in enumerate(day):
            partners = {
                other
                for goal in self.facts.plan.get("goals", [])
                if name in goal["activities"]
                for other in goal["activities"]
            }
            mine = (self.week(day, name) - minutes, self.order.index(name))
            for other in partners - {name}:
                if (self.week(day, other), self.order.index(other)) < mine:
                    given = [*day[:place], (start, minutes, other), *day[place + 1 :]]
                    if self.keeps_rules(given) and abs(self.short(given) - short) < 1e-9:
                        yield (start, minutes, name), other

    def week(self, day: list[Session], name: str) -> float:
        return self.logged[name] + sum(minutes for _, minutes, each in day if each == name)

    def short(self, day: list[Session]) -> float:
        sessions: dict[str, list[int]] = {}
        for _, minutes, name in day:
            sessions.setdefault(name, []).append(minutes)
        return shortfall(self.facts, sessions)

    def early(self, day: list[Session]) -> int:
        spans = self.facts.awake
        return sum(
            self.activities[name].get("when") == "early"
            and any(begin <= start < end and 2 * start <= begin + end for begin, end in spans)
            for start, _, name in day
        )

    def moves(self) -> Iterator[list[Session]]:
        starts = [start for begin, end in self.facts.awake for start in range(begin, end)]
        for place, (_, minutes, name) in enumerate(self.day):
            if self.activities[name].get("when") == "early":
                for start in starts:
                    yield [*self.day[:place], (start, minutes, name), *self.day[place + 1 :]]
        for place, (start, minutes, name) in enumerate(self.day):
            for other in range(place + 1, len(self.day)):
                later, length, of = self.day[other]
                moved = list(self.day)
                moved[place], moved[other] = (later, minutes, name), (start, length, of)
                yield moved

    def keeps_rules(self, day: list[Session]) -> bool:
        day = sorted(day)
        for start, minutes, name in day:
            activity = self.activities[name]
            least = activity["session"][0]
            if self.facts.held(activity) or not least <= minutes <= self.facts.longest(activity, start):
                return False
        for place, (start, minutes, name) in enumerate(day):
            for later, _, other in day[place + 1 :]:
                own = self.activities[name].get("own_gap", 0) if other == name else 0
                if later - start < max(self.facts.gap, minutes, own):
                    return False
        return True
