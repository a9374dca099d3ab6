"""What must be so after each step of a random life, kept as simply as it can be said: no database, no words but names."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta

from bot.features.verbs import SEEN
from tests.model.world import FAMILIES, STRANGER, THERAPISTS, Delivered

__all__ = ["COMMANDS", "HOME", "SIGNS", "STRANGER", "THERAPIST_CHATS", "Counted", "Model"]

HOME = {chat: family for family, (_, _, people) in FAMILIES.items() for chat, _ in people}
THERAPIST_CHATS = {chat: therapist for therapist, chat in THERAPISTS.items()}
# What is said of a family is known by these names, which stand nowhere else.
NAMES = {family: {baby, *(name for _, name in people)} for family, (_, baby, people) in FAMILIES.items()}
# Each sign with the time after which a concern that nobody has seen goes to the whole clinic, and by which it has surely gone
# there (decision 14: the times begin anew with each new concern, so the latter are wide).
ACT_NOW = (timedelta(minutes=30), timedelta(minutes=30 + 20))
SAME_DAY = (timedelta(hours=4), timedelta(hours=4 + 3))
SIGNS = {
    "her lips are blue": ACT_NOW,
    "she had a seizure": ACT_NOW,
    "she can't breathe": ACT_NOW,
    "she has a fever of 39.5": SAME_DAY,  # at 14 weeks
}
COMMANDS = ("/today", "/plan", "/privacy", "/help", "/families", "/duty", "/week", "/remove", "/cover")


@dataclass(frozen=True, slots=True)
class Counted:
    """Minutes of one message, with the button that takes them back and the message under which it stands."""

    undo: str
    under: int
    minutes: float


@dataclass
class Model:
    """Families by their ids, people by their chats."""

    counted: dict[tuple[int, int], Counted] = field(default_factory=dict)  # by chat and message
    signs: list[tuple[str, str]] = field(default_factory=list)
    unseen: dict[str, set[int]] = field(default_factory=lambda: {family: set() for family in FAMILIES})
    unseen_since: dict[str, datetime] = field(default_factory=dict)
    alerted: dict[str, set[int]] = field(default_factory=lambda: {family: set() for family in FAMILIES})
    seated: dict[int, str] = field(default_factory=lambda: dict(HOME))
    keepers: dict[str, int] = field(
        default_factory=lambda: {family: THERAPISTS[each[0]] for family, each in FAMILIES.items()}
    )
    working: set[int] = field(default_factory=lambda: set(THERAPIST_CHATS))
    paused: set[str] = field(default_factory=set)
    reminded: set[tuple[int, str]] = field(default_factory=set)
    _shown: dict[tuple[int, int], set[str]] = field(
        default_factory=dict
    )  # families named, by chat and message
    _numbers: int = 0

    # ------------------------------------------------------------ what was done

    def new_minutes(self, *, other_than: float = 0) -> float:
        """Return minutes that were not told lately: the same words twice within two minutes are asked about."""
        self._numbers += 1
        minutes = 3 + self._numbers % 9
        return minutes if minutes != other_than else self.new_minutes(other_than=other_than)

    def minutes(self) -> dict[str, float]:
        totals: dict[str, float] = {}
        for (chat, _), told in self.counted.items():
            totals[HOME[chat]] = totals.get(HOME[chat], 0) + told.minutes
        return totals

    def told_sign(self, family: str, sign: str, now: datetime) -> None:
        self.signs.append((family, sign))
        self.unseen[family].add(len(self.signs))
        self.unseen_since.setdefault(family, now)

    def family_of_concern(self, seen_button: str) -> str:
        return self.signs[int(seen_button.split(":")[1]) - 1][0]

    def seen(self, seen_button: str) -> None:
        """A button speaks of one concern, or of its family's up to a later one, which the message shows as well."""
        numbers = [int(part) for part in seen_button.removeprefix(f"{SEEN.name}:").split(":")]
        family = self.family_of_concern(seen_button)
        self.unseen[family] -= set(range(numbers[0], numbers[-1] + 1))
        if not self.unseen[family]:
            self.unseen_since.pop(family, None)
            self.alerted[family] = set()

    def therapist_left(self, chat: int, heir: int) -> None:
        self.working.discard(chat)
        for family, keeper in self.keepers.items():
            if keeper == chat:
                self.keepers[family] = heir

    # ------------------------------------------------------------ who may read what

    def goes_to_all(self, now: datetime, *, surely: bool) -> set[str]:
        """Return the families whose unseen concerns may be told to the whole clinic, or surely are by now."""
        found = set()
        for family, since in self.unseen_since.items():
            after = min(SIGNS[self.signs[number - 1][1]][surely] for number in self.unseen[family])
            if now - since >= after:
                found.add(family)
        return found

    def may_read(self, chat: int, families: set[str], *, concern_at: datetime | None = None) -> bool:
        """concern_at: now, where it is told as a concern."""
        mine = {self.seated[chat]} if chat in self.seated else set()
        if chat in self.working:
            mine |= {family for family, keeper in self.keepers.items() if keeper == chat}
            if concern_at is not None:
                mine |= self.goes_to_all(concern_at, surely=False)
        return families <= mine

    def concerned(self, shown: Delivered) -> set[str]:
        """Return the families of whom a message speaks, or in whose chat it stands."""
        home = {HOME[shown.chat_id]} if shown.chat_id in HOME else set()
        return home | named_in(shown.said)

    def check(self, shown: list[Delivered], now: datetime) -> None:
        """Assert that everybody who was shown something may read it."""
        for each in shown:
            families = named_in(each.said)
            known = self._shown.setdefault((each.chat_id, each.message_id), set())
            allowed = self.may_read(
                each.chat_id, families, concern_at=now if each.kind == "concern" else None
            )
            assert allowed or (each.changed and families <= known), (
                f"{each.chat_id} reads of {families}: {each.kind} {each.said}"
            )
            known |= families
            if each.kind == "reminder":
                self._check_reminder(each)
            if each.kind == "concern" and each.chat_id in THERAPIST_CHATS:
                for family in families:
                    self.alerted[family].add(each.chat_id)

    def _check_reminder(self, shown: Delivered) -> None:
        if shown.about is None or not shown.about.startswith("reminder:") or shown.changed:
            return
        assert shown.chat_id in self.seated, "who was put out is not reminded"
        assert self.seated[shown.chat_id] not in self.paused, "no reminder comes while it is paused"
        assert (shown.chat_id, shown.about) not in self.reminded, "a reminder comes once"
        self.reminded.add((shown.chat_id, shown.about))


def named_in(said: str) -> set[str]:
    """Return the families named in a text."""
    return {family for family, names in NAMES.items() if any(name in said for name in names)}
