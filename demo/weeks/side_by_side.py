"""Lives a trial in several processes, a few kinds of families in each: what comes out is the same, in less time."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import signal
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_EXCEPTION, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace
from multiprocessing.sharedctypes import SynchronizedArray

from bot.activities.library import Library
from bot.errors import WorldProblem
from bot.logs import set_up_logs
from bot.rehearsal.figures import Lived
from bot.rehearsal.living import Trial
from demo.weeks.kinds import Kind
from demo.weeks.live import kinds_of, live

LOOK_EVERY = 0.2  # seconds between two looks at how far they are

Told = Callable[[float], None]
"""Told the share of the weeks that is over."""


def live_side_by_side(trial: Trial, library: Library, progress: Told) -> list[Lived]:
    """Return what each kind's weeks came to, in the order of the kinds, on as many cores as there are.

    Raises:
        WorldProblem: as in_processes.
    """
    groups = grouped(kinds_of(trial), os.cpu_count() or 1)
    if len(groups) == 1:
        return asyncio.run(live(trial, library, progress))
    by_kind = {each.kind: each for each in in_processes(trial, groups, library, progress)}
    return [by_kind[kind.id] for kind in kinds_of(trial)]


def in_processes(
    trial: Trial, groups: Sequence[Sequence[Kind]], library: Library, progress: Told
) -> list[Lived]:
    """Return what each kind's weeks came to, each group in a process of its own.

    Raises:
        WorldProblem: a process was killed, by the system for want of memory as a rule.
    """
    spawning = multiprocessing.get_context("spawn")
    shares = spawning.Array("d", len(groups))
    with ProcessPoolExecutor(
        len(groups), spawning, initializer=_ready, initargs=(library, shares)
    ) as running:
        asked = [
            running.submit(_live_here, place, replace(trial, kinds=tuple(kind.id for kind in kinds)))
            for place, kinds in enumerate(groups)
        ]
        try:
            _follow(asked, lambda: progress(sum(shares[:]) / len(groups)))
            return [each for future in asked for each in future.result()]
        except BrokenProcessPool:
            raise WorldProblem("A process that lived the weeks was killed; try fewer --weeks") from None
        except KeyboardInterrupt:
            for process in multiprocessing.active_children():
                process.terminate()
            raise


def grouped(kinds: Sequence[Kind], most: int) -> list[tuple[Kind, ...]]:
    """Return the kinds in at most so many groups, about as much happening in each."""
    groups: list[list[Kind]] = [[] for _ in range(min(most, len(kinds)))]
    for kind in sorted(kinds, key=_work, reverse=True):
        min(groups, key=lambda group: sum(map(_work, group))).append(kind)
    return [tuple(group) for group in groups]


def _work(kind: Kind) -> float:
    """A reminder makes some work, an answer as much again; each carer is told on their own."""
    return (1 + kind.answers) * kind.homes


def _follow(asked: Sequence[Future[list[Lived]]], look: Callable[[], object]) -> None:
    waiting = set(asked)
    while waiting:
        done, waiting = wait(waiting, timeout=LOOK_EVERY, return_when=FIRST_EXCEPTION)
        for future in done:
            future.result()
        look()


# ---------------------------------------------------------------- in a process of its own

_library: Library | None = None
_shares: SynchronizedArray[float] | None = None


def _ready(library: Library, shares: SynchronizedArray[float]) -> None:
    global _library, _shares
    _library, _shares = library, shares
    set_up_logs("warning")
    # Whoever started us says when to end.
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _live_here(place: int, trial: Trial) -> list[Lived]:
    assert _library is not None and _shares is not None
    shares = _shares

    def note(share: float) -> None:
        shares[place] = share

    return asyncio.run(live(trial, _library, note))
