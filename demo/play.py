"""Plays the scenario's week: the real bot, a local messaging server, people with habits, a clock that jumps."""

from __future__ import annotations

import asyncio
import tempfile
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from cryptography.fernet import Fernet
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from bot.activities.library import load_library
from bot.clock import SteppedClock
from bot.errors import WorldProblem
from bot.storage import import_caseload, migrate
from bot.storage.caseload_file import caseload_from
from bot.storage.encryption import Encryption
from bot.storage.store import Store
from demo.digest_files import digest_files
from demo.household import Household
from demo.messaging import Limits, MessagingServer, ServerClock
from demo.rehearsal import Rehearsal, rehearsing
from demo.scenario import Scenario, read_scenario
from demo.transcript import Transcript


async def play(
    folder: Path,
    *,
    scenario: Scenario | None = None,
    pace: float = 0.0,
    quiet: bool = False,
    console: Console | None = None,
) -> None:
    """Play a week (our own scenario's unless another is given) and leave the digest's files in `folder`.

    Raises:
        WorldProblem: the folder cannot be written.
    """
    console = console or Console(highlight=False)
    scenario = scenario or read_scenario()
    _make(folder)
    with tempfile.TemporaryDirectory(prefix="underwing-demo-") as scratch:
        store = Store.open(f"sqlite:///{scratch}/demo.db", Encryption(Fernet.generate_key().decode()))
        try:
            migrate.upgrade(store)
            async with MessagingServer(limits=Limits.off(), clock=ServerClock(scenario.starts)) as server:
                await _play(scenario, store, server, folder, pace, quiet, console)
        finally:
            store.close()


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise WorldProblem(
            f"--into {folder}: cannot be made ({error.strerror}); name another folder"
        ) from None


async def _play(
    scenario: Scenario,
    store: Store,
    server: MessagingServer,
    folder: Path,
    pace: float,
    quiet: bool,
    console: Console,
) -> None:
    library = load_library()
    caseload = caseload_from(scenario.caseload, list(library), where="demo/scenario.yaml")
    with store.write() as uow:
        import_caseload.load(uow, caseload, scenario.starts)
    for chat_id, name in scenario.names.items():
        server.people.add(chat_id, name)
    clock = SteppedClock(scenario.starts)
    zone = ZoneInfo(caseload.clinic.time_zone)
    title = f"[bold]A week with {caseload.clinic.name}[/bold]"
    console.print(f"{title}: one therapist, three families, five carers.\n")
    async with rehearsing(store, library, clock, server) as rehearsal:
        household = Household(scenario, server)
        transcript = Transcript(server, scenario, console, zone, silent=quiet)
        columns = (TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
        with Progress(*columns, console=console, transient=True) as bar:
            task = bar.add_task("Monday", total=(scenario.ends - scenario.starts).total_seconds())
            await rehearsal.settle()
            while (now := await _step(rehearsal, household, server, scenario.ends)) is not None:
                household.look(now)
                if transcript.show() and pace:
                    await asyncio.sleep(pace)
                bar.update(
                    task,
                    completed=(now - scenario.starts).total_seconds(),
                    description=f"{now.astimezone(zone):%A %H:%M}",
                )
        await _leave_digest(rehearsal, store, scenario, folder, console)


async def _step(
    rehearsal: Rehearsal, household: Household, server: MessagingServer, ends: datetime
) -> datetime | None:
    """Jump to the next thing that happens; return when that was, None when the week is over."""
    known = [at for at in (await rehearsal.next_due(), household.next_at()) if at is not None]
    if not known or min(known) >= ends:
        return None
    now = max(min(known), rehearsal.clock.now())
    rehearsal.clock.move_to(now)
    server.clock.set(now)
    household.act(now)
    await rehearsal.settle()
    return now


async def _leave_digest(
    rehearsal: Rehearsal, store: Store, scenario: Scenario, folder: Path, console: Console
) -> None:
    """Show the digest as the therapist got it, and leave its picture and document."""
    files = await asyncio.to_thread(digest_files, rehearsal, store)
    assert files is not None
    picture_made, document_made = files
    (folder / "digest.pdf").write_bytes(document_made)
    (folder / "digest.png").write_bytes(picture_made)
    digest = next(
        message
        for chat_id in scenario.therapists
        for message in reversed(rehearsal.server.people[chat_id].messages(by_bot=True))
        if message.kind == "photo"
    )
    console.print(f"\n[bold]The digest, as {scenario.names[digest.chat_id]} got it[/bold]\n")
    console.print(digest.text, markup=False)
    console.print(f"\nPicture:  {folder / 'digest.png'}\nDocument: {folder / 'digest.pdf'}")
