"""How often a bot may send, and the answer when it sends more often."""

from __future__ import annotations

import math
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

from demo.messaging.errors import too_many_requests


@dataclass(frozen=True, slots=True)
class Limits:
    """Rates after the Bots FAQ ("My bot is hitting limits"): one message a second to a chat with short bursts,
    20 a minute to a group, about 30 a second in all. The exact figures are unpublished.

    chat_burst: messages that one chat takes at once. jitter: seconds by which a window is shortened, so that
    a sender that keeps the rate is not refused for the network's unevenness. edits: whether an edit counts as a message.
    """

    rates: bool = True
    chat_per_second: float = 1.0
    chat_burst: int = 3
    overall_per_second: int = 30
    group_per_minute: int = 20
    jitter: float = 0.05
    edits: bool = True

    @classmethod
    def off(cls) -> Limits:
        """No rates at all; the limits on sizes and shapes stay."""
        return cls(rates=False)


class RateKeeper:
    """Counts messages against the limits. Real seconds, never the rehearsal's."""

    def __init__(self, limits: Limits, *, timer: Callable[[], float] = time.monotonic) -> None:
        self.limits = limits
        self._timer = timer
        self._overall: deque[float] = deque()
        self._groups: dict[int, deque[float]] = {}
        self._chats: dict[int, tuple[float, float]] = {}

    def count(self, chat_id: int, messages: int = 1) -> None:
        """Count `messages` to a chat, or refuse them all and count none.

        Raises:
            ApiError: 429 with retry_after, whole seconds, at least 1.
        """
        limits = self.limits
        if not limits.rates:
            return
        now = self._timer()
        wait = max(
            self._window_wait(self._overall, now, 1.0, limits.overall_per_second),
            self._chat_wait(chat_id, now),
            self._window_wait(self._groups.get(chat_id, deque()), now, 60.0, limits.group_per_minute),
        )
        if wait > 0:
            raise too_many_requests(max(1, math.ceil(wait)))
        allowance, _ = self._allowance(chat_id, now)
        self._chats[chat_id] = (allowance - messages, now)
        self._overall.extend([now] * messages)
        if chat_id < 0:
            self._groups.setdefault(chat_id, deque()).extend([now] * messages)

    def _window_wait(self, sent: deque[float], now: float, window: float, most: int) -> float:
        window -= self.limits.jitter
        while sent and sent[0] <= now - window:
            sent.popleft()
        return sent[-most] + window - now if len(sent) >= most else 0.0

    def _allowance(self, chat_id: int, now: float) -> tuple[float, float]:
        full = float(self.limits.chat_burst)
        left, at = self._chats.get(chat_id, (full, now))
        return min(full, left + (now - at) * self.limits.chat_per_second), now

    def _chat_wait(self, chat_id: int, now: float) -> float:
        allowance, _ = self._allowance(chat_id, now)
        missing = 1.0 - self.limits.jitter - allowance
        return missing / self.limits.chat_per_second if missing > 0 else 0.0
