"""How fast the messaging service lets us send (its published limits), kept by ourselves.

Sources: the service's bot FAQ: about one message a second in one chat, 20 a minute in a group, about 30 a second
in all; a 429 answer names how long to hold.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Rates:
    """Messages allowed: in all a second, in a private chat a second, in a group a minute."""

    overall: int = 30
    chat: int = 1
    group: int = 20


@dataclass(slots=True)
class Limits:
    """Says whether a message may go now. Times are real seconds of any steady clock.

    Windows slide, so that there is no burst at the start of a second. rates None: no limit (rehearsals that own
    their server, benchmarks).
    """

    rates: Rates | None = field(default_factory=Rates)
    _overall: deque[float] = field(default_factory=deque)
    _chats: dict[int, deque[float]] = field(default_factory=dict)
    _held_until: float = 0.0
    _chat_held_until: dict[int, float] = field(default_factory=dict)

    def wait(self, chat_id: int, now: float, *, urgent: bool = False) -> float:
        """Return the seconds until a message to `chat_id` may go; 0 means now.

        An urgent one does not queue behind the chat's own pace (the service allows short bursts), but does obey a
        hold that the service itself asked for.
        """
        if self.rates is None:
            return 0.0
        self._forget_before(now)
        held = max(self._held_until, self._chat_held_until.get(chat_id, 0.0)) - now
        overall = self._overall[0] + 1.0 - now if len(self._overall) >= self.rates.overall else 0.0
        return max(0.0, held, overall, 0.0 if urgent else self._chat_wait(chat_id, now))

    def went(self, chat_id: int, now: float) -> None:
        """Count a message as sent."""
        if self.rates is None:
            return
        self._overall.append(now)
        self._chats.setdefault(chat_id, deque()).append(now)

    def hold(self, chat_id: int, seconds: float, now: float) -> None:
        """Obey a 429: nothing to this chat for `seconds`; the service does not say whether the rest must hold too,
        so the rest slows down by a second."""
        self._chat_held_until[chat_id] = max(self._chat_held_until.get(chat_id, 0.0), now + seconds)
        self._held_until = max(self._held_until, now + min(seconds, 1.0))

    def _chat_wait(self, chat_id: int, now: float) -> float:
        assert self.rates is not None
        count, span = (self.rates.group, 60.0) if chat_id < 0 else (self.rates.chat, 1.0)
        sent = self._chats.get(chat_id)
        return sent[-count] + span - now if sent and len(sent) >= count else 0.0

    def _forget_before(self, now: float) -> None:
        while self._overall and self._overall[0] <= now - 1.0:
            self._overall.popleft()
        # Chats whose last message is a minute old hold nothing back; without this the table would grow for ever.
        if len(self._chats) > 2000:
            self._chats = {chat: sent for chat, sent in self._chats.items() if sent[-1] > now - 60.0}
            self._chat_held_until = {
                chat: until for chat, until in self._chat_held_until.items() if until > now
            }
