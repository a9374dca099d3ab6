"""How fast the messaging service lets us send (its published limits), kept by ourselves.

Sources: the service's bot FAQ: about one message a second in one chat, with short bursts, 20 a minute in a group, about 30
a second in all; a 429 answer names how long to hold.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

from bot.domain.ids import ChatId

LOOK_AGAIN = 0.05  # seconds, where it hangs on an answer that is still to come
SPREAD_OVER = (
    50.0  # seconds of the families' clock: a reminder still goes in the minute for which it was planned
)
LONGEST_GAP = 0.5  # seconds between two reminders; where few wait, they need not take the whole minute


@dataclass(frozen=True, slots=True)
class Rates:
    """Messages allowed: in all a second, in a private chat a second (urgent ones: a short burst), in a group a minute, to
    all strangers together a second.

    Of each second some are kept free: for what is urgent, and for what somebody waits for. So whatever else there is to
    send, these do not wait for the second to pass.
    """

    overall: int = 30
    kept_for_urgent: int = 2
    kept_for_answers: int = 2
    chat: int = 1
    burst: int = 3
    group: int = 20
    strangers: int = 5


@dataclass(slots=True)
class _Window:
    """The messages of a sliding stretch of time.

    A message arrives at some moment between its sending and the service's answer, so it counts from the one until `span`
    seconds after the other: whatever the network does, no stretch of the service's time ever holds more.
    """

    span: float
    under_way: int = 0
    answered: deque[float] = field(default_factory=deque)

    def wait(self, most: int, now: float) -> float:
        while self.answered and self.answered[0] <= now - self.span:
            self.answered.popleft()
        too_many = self.under_way + len(self.answered) - most
        if too_many < 0:
            return 0.0
        return self.answered[too_many] + self.span - now if too_many < len(self.answered) else LOOK_AGAIN

    def is_empty(self, now: float) -> bool:
        return not self.under_way and (not self.answered or self.answered[-1] <= now - self.span)


@dataclass(slots=True)
class Spread:
    """Spaces the reminders of one moment evenly, in place of a burst at the turn of the minute. Times are real seconds.

    Many families are planned for the same minute. Said at full speed they would take most of each second, and be answered
    all at once.
    """

    _gap: float = 0.0
    _next: float = 0.0

    def over(self, waiting: int, seconds: float) -> None:
        """Space so many reminders over so many seconds. While any waits the pace is only ever quickened."""
        if not waiting:
            self._gap = 0.0
            return
        gap = min(seconds / waiting, LONGEST_GAP)
        self._gap = min(self._gap or gap, gap)

    def wait(self, now: float) -> float:
        return max(0.0, self._next - now)

    def begin(self, now: float) -> None:
        # What a busy loop came late for is made up for, but not what stood still for longer.
        self._next = (self._next if now - self._next < 1.0 else now) + self._gap


@dataclass(slots=True)
class Limits:
    """Says whether a message may go now. Times are real seconds of any steady clock.

    Windows slide, so that there is no burst at the start of a second. rates None: no limit (rehearsals that own
    their server, benchmarks).
    """

    rates: Rates | None = field(default_factory=Rates)
    reminders: Spread = field(default_factory=Spread)
    _overall: _Window = field(default_factory=lambda: _Window(1.0))
    _strangers: _Window = field(default_factory=lambda: _Window(1.0))
    _chats: dict[int, _Window] = field(default_factory=dict)
    _held_until: float = 0.0
    _chat_held_until: dict[int, float] = field(default_factory=dict)

    def wait(
        self,
        chat_id: ChatId,
        now: float,
        *,
        urgent: bool = False,
        awaited: bool = True,
        stranger: bool = False,
    ) -> float:
        """Return the seconds until a message to `chat_id` may go; 0 means now. awaited: a person waits for it.

        An urgent one does not queue behind the chat's own pace (the service allows short bursts), but does obey a
        hold that the service itself asked for.
        """
        held = max(0.0, max(self._held_until, self._chat_held_until.get(chat_id, 0.0)) - now)
        if self.rates is None:
            return held
        waits = [held, self._overall.wait(self._most(urgent, awaited), now)]
        if stranger:
            waits.append(self._strangers.wait(self.rates.strangers, now))
        if chat_id in self._chats:
            private = self.rates.burst if urgent else self.rates.chat
            waits.append(self._chats[chat_id].wait(self.rates.group if chat_id < 0 else private, now))
        return max(waits)

    def _most(self, urgent: bool, awaited: bool) -> int:
        """Return up to how many messages of a second one of this kind may go."""
        rates = self.rates or Rates()
        if urgent:
            return rates.overall
        return rates.overall - rates.kept_for_urgent - (0 if awaited else rates.kept_for_answers)

    def begin(self, chat_id: ChatId, now: float, *, stranger: bool = False) -> None:
        """Count a message that is about to be sent."""
        if self.rates is None:
            return
        self._forget(now)
        chat = self._chats.setdefault(chat_id, _Window(_span_of(chat_id)))
        for window in (self._overall, chat, *([self._strangers] if stranger else [])):
            window.under_way += 1

    def end(self, chat_id: ChatId, now: float, *, stranger: bool = False) -> None:
        """Note that the service answered, or never will."""
        if self.rates is None:
            return
        for window in (self._overall, self._chats[chat_id], *([self._strangers] if stranger else [])):
            window.under_way -= 1
            window.answered.append(now)

    def remember(self, chat_id: ChatId, sent: float) -> None:
        """Count what another process sent to a chat. sent: on the same clock; for one chat, the oldest first."""
        chat = self._chats.setdefault(chat_id, _Window(_span_of(chat_id)))
        chat.answered.append(sent)

    def hold(self, chat_id: ChatId, seconds: float, now: float) -> None:
        """Obey a 429: nothing to this chat for `seconds`; the service does not say whether the rest must hold too,
        so the rest slows down by a second."""
        self._chat_held_until[chat_id] = max(self._chat_held_until.get(chat_id, 0.0), now + seconds)
        self.hold_all(min(seconds, 1.0), now)

    def hold_all(self, seconds: float, now: float) -> None:
        """Send nothing for so many seconds."""
        self._held_until = max(self._held_until, now + seconds)

    def _forget(self, now: float) -> None:
        # Chats that hold nothing back; without this the table would grow for ever.
        if len(self._chats) > 2000:
            self._chats = {chat: window for chat, window in self._chats.items() if not window.is_empty(now)}
        if len(self._chat_held_until) > 2000:
            self._chat_held_until = {
                chat: until for chat, until in self._chat_held_until.items() if until > now
            }


def _span_of(chat_id: ChatId) -> float:
    """Return the seconds over which a chat's messages are counted: a minute for groups, whose ids are negative."""
    return 60.0 if chat_id < 0 else 1.0
