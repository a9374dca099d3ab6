"""Empties the outbox into the messaging service, at its pace, the most pressing first and fair by chat."""

from __future__ import annotations

import asyncio
import math
import time
from contextlib import nullcontext, suppress
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial

import structlog
from telegram import Bot

from bot.clock import Clock, backoff, real_seconds
from bot.domain.outgoing import LONGEST_CAPTION, LONGEST_TEXT, visible_length
from bot.messenger.api import SENDING_POOL, Outcome, deliver
from bot.messenger.limits import SPREAD_OVER, Limits
from bot.messenger.material_files import MaterialFiles
from bot.messenger.metrics import Metrics
from bot.messenger.outcomes import LATE, due_times_of_sent, late_line, must_arrive, record
from bot.messenger.workers import Workers
from bot.phrases import words_for
from bot.storage.repositories.deliveries import Outgoing, Waiting
from bot.storage.trouble import DatabaseAway
from bot.storage.unit_of_work import UnitOfWork

LEASE = 60.0  # seconds; longer than any request may take
LOOK_AHEAD = 200  # chats looked at; with 30 messages a second no more than 150 can be held back by limits
LOOK_AGAIN = 0.5  # seconds
MOST_CLAIMED = (
    2 * SENDING_POOL
)  # under way at once, so that no connection stands idle while outcomes are written down
URGENT_ROOM = 4  # more of what is urgent, so that it need not wait for the rest to end
KEPT_CONNECTIONS = 2  # for what is urgent, while the service takes long for the rest
GROUP_MINUTE = timedelta(minutes=1)  # over which a group's messages are counted
LONGEST_PAUSE = 15.0  # seconds between two tries while the service is away
UNKNOWN_IN_A_ROW = 3  # from here on it is the service that is in trouble, and not one message

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
        self._workers, self._bot, self._clock = workers, bot, clock
        self._limits, self._metrics, self._materials = limits, metrics, materials
        self._connections = asyncio.Semaphore(SENDING_POOL)
        self._unhurried = asyncio.Semaphore(SENDING_POOL - KEPT_CONNECTIONS)
        # By chat, until the outcome is written down: one at a time keeps their order.
        self._under_way: dict[int, asyncio.Task[None]] = {}
        self._settled: list[tuple[Outgoing, Outcome]] = []
        self._troubles = 0  # sendings in a row that the service did not answer
        self._quiet_until = 0.0  # monotonic seconds; nothing is tried before
        self._look_ahead = 2 * MOST_CLAIMED
        self.wake = asyncio.Event()
        self.refused: str | None = None  # our token is refused: nothing can be sent

    async def run(self, stopping: asyncio.Event) -> None:
        """Send until `stopping`, then finish what is under way. Only the leading process may run this: what stands
        as "sending" at the start was left by one that died."""
        # The one that died may have sent in this very second.
        self._limits.hold_all(1.0, time.monotonic())
        swept, sweep_before, failures, known = -math.inf, math.inf, 0, False
        while not stopping.is_set():
            self.wake.clear()
            try:
                if not known:
                    await self._remember_groups()
                    known = True
                if time.monotonic() - swept > LEASE / 2:
                    await self._workers.write(partial(_sweep, before=sweep_before))
                    swept, sweep_before = time.monotonic(), 0.0
                wait, failures = await self.turn(), 0
            except DatabaseAway:
                failures += 1
                with suppress(TimeoutError):
                    await asyncio.wait_for(stopping.wait(), timeout=backoff(failures, first=0.5, most=5.0))
                continue
            with suppress(TimeoutError):
                await asyncio.wait_for(self.wake.wait(), timeout=wait)
        await self.finish()

    async def _remember_groups(self) -> None:
        """Count what the one who led before sent to groups in the last minute."""
        now, speed = self._clock.now(), max(1.0, self._clock.speed)
        since = now - GROUP_MINUTE * speed
        for chat_id, at in await self._workers.read(lambda uow: uow.deliveries.to_groups_since(since)):
            self._limits.remember(chat_id, time.monotonic() - (now - at).total_seconds() / speed)

    async def finish(self) -> None:
        """Wait for what is under way, and write down what became of it."""
        await asyncio.gather(*self._under_way.values(), return_exceptions=True)
        # Where it cannot be written down, the next one to lead finds it as left under way.
        with suppress(DatabaseAway):
            await self._write_down([])

    async def idle(self) -> bool:
        """Return whether nothing waits and nothing is under way."""
        if self._under_way:
            return False
        return not await self._workers.read(lambda uow: uow.deliveries.any_waiting())

    async def turn(self) -> float:
        """Write down what became of messages and start what may go now; return the seconds after which to look again."""
        room = MOST_CLAIMED - len(self._under_way)
        waiting: list[Waiting] = []
        if room + URGENT_ROOM > 0 and time.monotonic() >= self._quiet_until:
            waiting = await self._workers.read(self._look)
        chosen, wait = self._choose(waiting, room)
        # Few chats are looked at as long as some of them may be written to.
        all_held_back = bool(waiting) and not chosen
        self._look_ahead = LOOK_AHEAD if all_held_back else 2 * MOST_CLAIMED
        try:
            claimed = await self._write_down([each.id for each in chosen])
        except BaseException:
            for each in chosen:
                self._end(each)
            raise
        by_id = {out.id: out for out in claimed}
        for each in chosen:
            if each.id in by_id:
                task = asyncio.create_task(self._send(by_id[each.id], each))
                self._under_way[each.chat_id] = task
            else:
                self._end(each)
        quiet = self._quiet_until - time.monotonic()
        return max(quiet, 0.01) if quiet > 0 else wait

    def _look(self, uow: UnitOfWork) -> list[Waiting]:
        """Return what may go, having set the pace at which reminders do."""
        waiting = uow.deliveries.waiting(real_now=real_seconds(), limit=self._look_ahead)
        if self._limits.rates is not None:
            count, expires_at = 0, None
            if any(each.kind == "reminder" for each in waiting):
                most = int(SPREAD_OVER * self._limits.rates.overall)  # more need the full pace
                count, expires_at = uow.deliveries.reminders_waiting(most=most)
            left = SPREAD_OVER if expires_at is None else (expires_at - self._clock.now()).total_seconds()
            self._limits.reminders.over(count, max(0.0, min(left, SPREAD_OVER)) / max(1.0, self._clock.speed))
        return waiting

    def _choose(self, waiting: list[Waiting], room: int) -> tuple[list[Waiting], float]:
        """Return what may go now, each counted before the next is looked at, and the seconds after which more may."""
        chosen: list[Waiting] = []
        soonest = LOOK_AGAIN
        for each in waiting:
            most = 1 if self._troubles else room + URGENT_ROOM * each.urgent
            if len(chosen) >= most or each.chat_id in self._under_way:
                continue
            now = time.monotonic()
            wait = self._limits.wait(
                each.chat_id, now, urgent=each.urgent, awaited=each.awaited, stranger=each.stranger
            )
            if each.kind == "reminder":
                wait = max(wait, self._limits.reminders.wait(now))
            if wait > 0:
                soonest = min(soonest, wait)
                continue
            self._limits.begin(each.chat_id, now, stranger=each.stranger)
            if each.kind == "reminder":
                self._limits.reminders.begin(now)
            chosen.append(each)
        return chosen, soonest

    def _end(self, each: Waiting) -> None:
        self._limits.end(each.chat_id, time.monotonic(), stranger=each.stranger)

    async def _write_down(self, to_claim: list[int]) -> list[Outgoing]:
        """Record every outcome that is known and claim rows, in one transaction; return what was claimed."""
        settled, self._settled = self._settled, []
        if not settled and not to_claim:
            return []
        now, real_now = self._clock.now(), real_seconds()

        def write(uow: UnitOfWork) -> tuple[list[Outgoing], list[datetime]]:
            record(uow, settled, now=now, real_now=real_now)
            due = due_times_of_sent(uow, settled)
            return uow.deliveries.claim(to_claim, lease_until=real_now + LEASE) if to_claim else [], due

        try:
            claimed, due = await self._workers.write(write)
        except BaseException:
            self._settled = settled + self._settled
            raise
        for at in due:
            self._metrics.lateness.observe(max(0.0, (now - at) / timedelta(seconds=self._clock.speed)))
        for out, _ in settled:
            self._under_way.pop(out.chat_id, None)
        return claimed

    async def _send(self, out: Outgoing, waiting: Waiting) -> None:
        try:
            async with nullcontext() if waiting.urgent else self._unhurried, self._connections:
                outcome = await self._attempt(out)
        except Exception as error:
            # Nobody knows how far it came.
            log.exception("sending failed", outbox=out.id, kind=out.kind)
            outcome = Outcome("unknown", error=type(error).__name__)
        finally:
            self._end(waiting)
        self._note(out, outcome)
        self._settled.append((out, outcome))
        self.wake.set()

    async def _attempt(self, out: Outgoing) -> Outcome:
        if out.expires_at is not None and self._clock.now() > out.expires_at:
            return Outcome("refused", error="too late")
        target = None
        try:
            if "edits" in out.payload:
                earlier = await self._workers.read(
                    lambda uow: uow.deliveries.message_of(out.payload["edits"])
                )
                if earlier is None or earlier[1] is None:
                    return Outcome("refused", error="the message to change was never sent")
                target = earlier[1]
            headed = await self._headed(out)
        except DatabaseAway as error:
            return Outcome("not_sent", error=str(error))
        outcome = await deliver(self._bot, headed, target)
        return outcome if outcome.meaning != "refused" else await self._with_kept_copy(out, outcome)

    async def _with_kept_copy(self, out: Outgoing, outcome: Outcome) -> Outcome:
        """Send a message whose file was refused with the file that we keep, where we keep one."""
        with suppress(DatabaseAway):
            copy = await self._materials.kept_copy(out)
            if copy is not None:
                outcome = await self._once_more(copy)
                await self._materials.note_new_id(out, outcome)
        return outcome

    async def _once_more(self, out: Outgoing) -> Outcome:
        """Send again what was refused in another form; it counts as a message of its own."""
        wait = self._limits.wait(out.chat_id, time.monotonic(), urgent=True)
        while wait > 0:
            await asyncio.sleep(wait)
            wait = self._limits.wait(out.chat_id, time.monotonic(), urgent=True)
        self._limits.begin(out.chat_id, time.monotonic())
        try:
            return await deliver(self._bot, out, None)
        finally:
            self._limits.end(out.chat_id, time.monotonic())

    async def _headed(self, out: Outgoing) -> Outgoing:
        """Return a message with a line before it where it comes late or may have come already."""
        if not must_arrive(out) or out.action in ("edit", "buttons"):
            return out
        late = (self._clock.now() - out.ready_at) / max(1.0, self._clock.speed)
        repeat = out.repeat and out.kind in ("concern", "digest")
        if not repeat and late <= LATE:
            return out
        words = words_for(await self._workers.read(lambda uow: uow.chats.language_of(out.chat_id)))
        lines = [words("edge.repeat")] if repeat else []
        if late > LATE:
            lines.append(late_line(words, late.total_seconds()))
        text = "\n".join([f"<i>{line}</i>" for line in lines] + [out.payload["text"]]).strip()
        longest = LONGEST_CAPTION if "file" in out.payload else LONGEST_TEXT
        return out if visible_length(text) > longest else replace(out, payload={**out.payload, "text": text})

    def _note(self, out: Outgoing, outcome: Outcome) -> None:
        self._metrics.sent.labels(kind=out.kind, outcome=outcome.meaning).inc()
        if outcome.meaning == "later":
            self._limits.hold(out.chat_id, outcome.wait, time.monotonic())
        elif outcome.meaning in ("sent", "fatal"):
            self.refused = outcome.error if outcome.meaning == "fatal" else None
        self._note_trouble(outcome)
        if outcome.error and outcome.meaning not in ("sent", "later"):
            log.warning("not sent", outbox=out.id, kind=out.kind, meaning=outcome.meaning, error=outcome.kind)

    def _note_trouble(self, outcome: Outcome) -> None:
        """Slow down while the service does not answer: every try would fail, and take part of a message's tries."""
        unanswered = outcome.meaning == "not_sent" and outcome.new_chat_id is None
        if not unanswered and outcome.meaning not in ("unknown", "fatal"):
            self._troubles, self._quiet_until = 0, 0.0
            return
        self._troubles += 1
        over = self._troubles if outcome.meaning != "unknown" else self._troubles - UNKNOWN_IN_A_ROW
        if over > 0:
            self._quiet_until = time.monotonic() + backoff(over, first=0.5, most=LONGEST_PAUSE)


def _sweep(uow: UnitOfWork, *, before: float) -> int:
    return uow.deliveries.sweep(real_now=before or real_seconds())
