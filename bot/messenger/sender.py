"""Empties the outbox into the messaging service, at its pace, the most pressing first.

What happens when nobody knows whether a message went through is decided by kind:
a reminder or a press note is not sent again; a concern, a reply and a digest are, and the repeat of a concern or a
digest says that it is one.
"""

from __future__ import annotations

import asyncio
import math
import time
from dataclasses import replace

import structlog
from telegram import Bot

from bot.clock import Clock, real_seconds
from bot.messenger.api import SENDING_POOL, Outcome, deliver
from bot.messenger.limits import Limits
from bot.messenger.material_files import MaterialFiles
from bot.messenger.metrics import Metrics
from bot.messenger.workers import Workers
from bot.phrases import words_for
from bot.storage.repositories.outbox import SENT_AT_LEAST_ONCE, UNKNOWN, Outgoing
from bot.storage.unit_of_work import UnitOfWork

LEASE = 60.0  # seconds; longer than any request may take
MOST_ATTEMPTS = 12
LOOK_AHEAD = 200  # rows looked at to find chats that may be written to now

log = structlog.get_logger(__name__)


class Sender:
    """Sends what waits. `wake` is set whenever something was put in the outbox."""

    def __init__(
        self,
        workers: Workers,
        bot: Bot,
        clock: Clock,
        limits: Limits,
        metrics: Metrics,
        materials: MaterialFiles,
    ) -> None:
        self._materials = materials
        self._workers, self._bot, self._clock, self._limits, self._metrics = (
            workers,
            bot,
            clock,
            limits,
            metrics,
        )
        self._in_flight: dict[int, asyncio.Task[None]] = {}  # by chat: one at a time keeps their order
        self.wake = asyncio.Event()
        self.refused: str | None = None  # our token is refused: nothing can be sent

    async def run(self, stopping: asyncio.Event) -> None:
        """Send until `stopping`, then finish what is in flight. Only the leading process may run this: what stands
        as "sending" at the start was left by one that died."""
        await self._workers.write(lambda uow: uow.outbox.sweep(real_now=math.inf))
        swept = time.monotonic()
        while not stopping.is_set():
            self.wake.clear()
            wait = await self.turn()
            if time.monotonic() - swept > LEASE / 2:
                await self._workers.write(lambda uow: uow.outbox.sweep(real_now=real_seconds()))
                swept = time.monotonic()
            try:
                await asyncio.wait_for(self.wake.wait(), timeout=wait)
            except TimeoutError:
                continue
        await self.finish()

    async def finish(self) -> None:
        if self._in_flight:
            await asyncio.gather(*self._in_flight.values(), return_exceptions=True)

    async def idle(self) -> bool:
        """Return whether nothing waits and nothing is in flight."""
        if self._in_flight:
            return False
        return not await self._workers.read(lambda uow: uow.outbox.waiting(real_now=math.inf, limit=1))

    async def turn(self) -> float:
        """Start sending what may go now; return the seconds after which to look again."""
        waiting = await self._workers.read(
            lambda uow: uow.outbox.waiting(real_now=real_seconds(), limit=LOOK_AHEAD)
        )
        chosen, wait = self._choose(waiting)
        if chosen:
            claimed = await self._workers.write(
                lambda uow: uow.outbox.claim(chosen, lease_until=real_seconds() + LEASE)
            )
            for out in claimed:
                self._limits.went(out.chat_id, time.monotonic()) if out.action != "press" else None
                self._in_flight[out.chat_id] = asyncio.create_task(self._send(out))
        return wait

    def _choose(self, waiting: list[tuple[int, int, str]]) -> tuple[list[int], float]:
        chosen: list[int] = []
        chats: set[int] = set()
        soonest = 0.5
        for row_id, chat_id, kind in waiting:
            if len(self._in_flight) + len(chosen) >= SENDING_POOL:
                break
            if chat_id in self._in_flight or chat_id in chats:
                continue
            wait = self._limits.wait(chat_id, time.monotonic(), urgent=kind in ("concern", "press"))
            if wait > 0:
                soonest = min(soonest, wait)
                chats.add(chat_id)
                continue
            chosen.append(row_id)
            chats.add(chat_id)
        return chosen, soonest

    async def _send(self, out: Outgoing) -> None:
        try:
            outcome = await self._attempt(out)
            await self._settle(out, outcome)
        except Exception:
            # The row stays "sending" and the sweep deals with it by its kind.
            log.exception("sending failed", outbox=out.id, kind=out.kind)
        finally:
            self._in_flight.pop(out.chat_id, None)
            self.wake.set()

    async def _attempt(self, out: Outgoing) -> Outcome:
        if out.expires_at is not None and self._clock.now() > out.expires_at:
            return Outcome("refused", error="too late")
        target = None
        if "edits" in out.payload:
            earlier = await self._workers.read(lambda uow: uow.outbox.message_of(out.payload["edits"]))
            if earlier is None or earlier[1] is None:
                return Outcome("refused", error="the message to change was never sent")
            target = earlier[1]
        if out.repeat and out.kind in ("concern", "digest") and out.action != "buttons":
            out = replace(out, payload={**out.payload, "text": await self._marked(out)})
        return await self._materials.sent_anew(out, await deliver(self._bot, out, target))

    async def _marked(self, out: Outgoing) -> str:
        language = await self._workers.read(lambda uow: uow.chats.language_of(out.chat_id))
        return f"<i>{words_for(language)('edge.repeat')}</i>\n{out.payload['text']}"

    async def _settle(self, out: Outgoing, outcome: Outcome) -> None:
        self._metrics.sent.labels(kind=out.kind, outcome=outcome.meaning).inc()
        if outcome.meaning == "later":
            self._limits.hold(out.chat_id, outcome.wait, time.monotonic())
        await self._workers.write(lambda uow: self._record(uow, out, outcome))
        if outcome.meaning == "fatal":
            self.refused = outcome.error
        elif outcome.meaning == "sent":
            self.refused = None
        if outcome.error and outcome.meaning not in ("sent", "later"):
            log.warning(
                "not sent", outbox=out.id, kind=out.kind, meaning=outcome.meaning, error=outcome.error
            )

    def _record(self, uow: UnitOfWork, out: Outgoing, outcome: Outcome) -> None:
        """Write down what became of a message, and what follows from it."""
        match outcome.meaning:
            case "sent":
                uow.outbox.sent(
                    out.id,
                    message_id=outcome.message_id,
                    file_id=outcome.file_id,
                    now=self._clock.now(),
                )
            case "later":
                uow.outbox.retry(out.id, at=real_seconds() + outcome.wait, attempt_counts=False)
            case "not_sent" if outcome.new_chat_id is not None:
                uow.chats.move(out.chat_id, outcome.new_chat_id)
                uow.outbox.retry(out.id, at=0.0)
            case "not_sent" | "fatal" if out.attempts < MOST_ATTEMPTS or outcome.meaning == "fatal":
                uow.outbox.retry(out.id, at=real_seconds() + _pause(out.attempts))
            case "unknown" if out.kind in SENT_AT_LEAST_ONCE and out.attempts < MOST_ATTEMPTS:
                # An edit that is repeated changes nothing more; anything else may be a second copy.
                uow.outbox.retry(out.id, at=real_seconds() + _pause(out.attempts), error=UNKNOWN)
            case "unknown":
                uow.outbox.settle(out.id, "unknown", outcome.error)
            case "unreachable":
                uow.outbox.settle(out.id, "failed", outcome.error)
                uow.chats.mark_unreachable(out.chat_id, self._clock.now())
            case "refused" if uow.outbox.retry_as_text(out, outcome.error):
                pass  # a picture that is not taken must not keep its words back
            case _:
                uow.outbox.settle(out.id, "failed", outcome.error)


def _pause(attempts: int) -> float:
    """Return seconds to the next try: 1, 2, 4 … at most a minute."""
    return float(min(60, 2 ** max(0, attempts - 1)))
