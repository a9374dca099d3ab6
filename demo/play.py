"""Plays the scenario's week: the real bot, a local messaging server, people with habits, a clock that jumps."""

from __future__ import annotations

import asyncio
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from bot.errors import WorldProblem
from demo.digest_files import digest_files
from demo.scenario import Scenario, read_scenario
from demo.transcript import Transcript
from demo.week import Week, living


async def play(
    folder: Path,
    *,
    scenario: Scenario | None = None,
    pace: float = 0.0,
    quiet: bool = False,
    whole: bool = False,
    console: Console | None = None,
) -> None:
    """Play a week (our own scenario's unless another is given) and leave the digest's files in `folder`.

    Raises:
        WorldProblem: the folder cannot be written.
    """
    console = console or Console(highlight=False)
    _make(folder)
    async with living(scenario or read_scenario()) as week:
        console.print(
            f"[bold]A week with {week.clinic}[/bold]: one therapist, three families, five carers.\n"
        )
        await _play(week, pace, console, quiet=quiet, whole=whole)
        await _leave_digest(week, folder, console)


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise WorldProblem(
            f"--into {folder}: cannot be made ({error.strerror}); name another folder"
        ) from None


async def _play(week: Week, pace: float, console: Console, *, quiet: bool, whole: bool) -> None:
    scenario, starts, ends = week.residents.scenario, week.starts, week.ends
    transcript = Transcript(week.server, scenario, console, week.zone, silent=quiet, whole=whole)
    with Progress(
        TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn(), console=console, transient=True
    ) as bar:
        task = bar.add_task("Monday", total=(ends - starts).total_seconds())
        while (now := await week.step()) is not None:
            if transcript.show() and pace:
                await asyncio.sleep(pace)
            bar.update(
                task,
                completed=(now - starts).total_seconds(),
                description=f"{now.astimezone(week.zone):%A %H:%M}",
            )
    transcript.close()


async def _leave_digest(week: Week, folder: Path, console: Console) -> None:
    """Show the digest as the therapist got it, and leave its picture and document."""
    rehearsal, scenario = week.rehearsal, week.residents.scenario
    files = await asyncio.to_thread(digest_files, rehearsal, week.store)
    assert files is not None
    (folder / "digest.png").write_bytes(files[0])
    (folder / "digest.pdf").write_bytes(files[1])
    digest = next(
        message
        for chat_id in scenario.therapists
        for message in reversed(rehearsal.server.people[chat_id].messages(by_bot=True))
        if message.kind == "photo"
    )
    console.print(f"\n[bold]The digest, as {scenario.names[digest.chat_id]} got it[/bold]\n")
    console.print(digest.text, markup=False)
    console.print(f"\nPicture:  {folder / 'digest.png'}\nDocument: {folder / 'digest.pdf'}")
