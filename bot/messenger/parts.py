"""Everything of the bot that runs, wired: the only place that names every part.

poll or webhook → inbox → handler → features → outbox → sender
                           periodic_jobs ─────────┘ └─ renderer
"""

from __future__ import annotations

import asyncio

from telegram import Bot

from bot.activities.library import Library
from bot.clock import Clock
from bot.domain.keeping import FOR_EVER, Keeping
from bot.features.routing.router import Router
from bot.messenger.commands_menu import TherapistMenus
from bot.messenger.drawing import Drawer
from bot.messenger.handler import Handler
from bot.messenger.health import Health, overdue_line, untold, untold_line
from bot.messenger.intake import Intake
from bot.messenger.limits import Limits, Rates
from bot.messenger.material_files import MaterialFiles
from bot.messenger.metrics import Metrics
from bot.messenger.periodic_jobs import PeriodicJobs
from bot.messenger.renderer import Renderer
from bot.messenger.sender import Sender
from bot.messenger.wakeups import Wakeups
from bot.messenger.workers import Workers
from bot.storage.store import Store
from bot.storage.trouble import DatabaseAway
from scheduling.runner import Runner

ANSWER_WITHIN = 3.0  # seconds in which the database answers whoever asks for health


class Parts:
    """Everything that runs, for one store and one bot.

    drawer: what draws pictures and pages; else a process. workers: where transactions run; else in threads.
    """

    def __init__(
        self,
        store: Store,
        bot: Bot,
        clock: Clock,
        library: Library,
        rates: Rates | None,
        drawer: Drawer | None = None,
        workers: Workers | None = None,
        *,
        learning: bool = True,
        keeping: Keeping = FOR_EVER,
    ) -> None:
        self.store, self.bot, self.clock = store, bot, clock
        self.metrics = Metrics()
        self.router = Router(clock, library, bot_name=bot.username, learning=learning)
        self.workers = workers = workers or Workers(store)
        materials = MaterialFiles(workers, bot, clock)
        self.sender = Sender(workers, bot, clock, Limits(rates), self.metrics, materials)
        self.drawer = drawer or Drawer(library)
        self.renderer = Renderer(workers, self.router, clock, self.drawer, self.sender.wake.set)
        self.handler = Handler(workers, clock, self.router, self.metrics, self._queued)
        self.intake = Intake(workers, bot, clock, self.metrics, self.handler.wake.set)
        self.periodic_jobs = PeriodicJobs(
            workers,
            self.router,
            self.metrics,
            self._queued,
            also=[materials.periodic_job(), TherapistMenus(bot, workers).periodic_job()],
            keeping=keeping,
        )
        self.wakeups = Wakeups(store, {"inbox": self.handler.wake.set, "outbox": self._queued})
        self.runner: Runner | None = None  # while this process keeps the timers

    def _queued(self) -> None:
        """Wake whoever deals with what may stand in the outbox now."""
        self.sender.wake.set()
        self.renderer.wake.set()

    def close(self) -> None:
        """Finish what is in hand, and end threads and processes."""
        self.drawer.close()
        self.workers.close()

    async def healthy(self) -> Health:
        """Return what is wrong, by name; nothing when all is well."""
        problems, told = {}, {}
        if self.intake.problem:
            problems["updates"] = self.intake.problem
        if self.sender.refused:
            problems["sending"] = self.sender.refused
        try:
            if self.workers.database_problem() is None:
                reading = self.workers.read(lambda uow: untold(uow, self.clock.now()))
                told = await asyncio.wait_for(reading, timeout=ANSWER_WITHIN)
        except TimeoutError:
            problems["database"] = f"has not answered for {ANSWER_WITHIN:.0f} seconds"
        except DatabaseAway as error:
            problems["database"] = f"does not answer ({error})"
        if problem := self.workers.database_problem():
            problems["database"] = problem
        if unreadable := self.store.encryption.unreadable:
            problems["key"] = (
                f"{unreadable} times a sealed value could not be opened: a key is missing from UNDERWING_KEY; "
                "add the retired key again and run underwing check"
            )
        if "concern" in told:
            problems["untold"] = untold_line(told)
        if self.runner is None:
            return Health(problems, untold=told)
        if overdue := self.runner.overdue():
            problems["jobs"] = overdue_line(overdue)
        return Health(problems, self.runner.seconds_since(), told)
