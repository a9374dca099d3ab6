"""Plays the scenario's week: the real bot, a local messaging server, people with habits, a clock that jumps."""

from __future__ import annotations

import asyncio
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from bot.activities.library import Library
from bot.domain.rendering import DigestRequest, DocumentRequest
from bot.errors import WorldProblem
from bot.features.digests import send
from bot.features.routing.render_routes import Work, gather
from bot.parsing.period import encoded
from bot.storage.store import Store
from demo.rehearsal import Rehearsal
from demo.scenario import Scenario, read_scenario
from demo.transcript import Transcript
from demo.week import Week, living


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
    _make(folder)
    async with living(scenario or read_scenario()) as week:
        console.print(
            f"[bold]A week with {week.clinic}[/bold]: one therapist, three families, five carers.\n"
        )
        await _play(week, pace, quiet, console)
        await _leave_digest(week.rehearsal, week.store, week.scenario, folder, console)


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise WorldProblem(
            f"--into {folder}: cannot be made ({error.strerror}); name another folder"
        ) from None


async def _play(week: Week, pace: float, quiet: bool, console: Console) -> None:
    starts, ends = week.scenario.starts, week.scenario.ends
    transcript = Transcript(week.server, week.scenario, console, week.zone, silent=quiet)
    with Progress(
        TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn(), console=console, transient=True
    ) as bar:
        task = bar.add_task("Monday", total=(ends - starts).total_seconds())
        while (now := await week.step()) is not None:
            week.household.look(now)
            if transcript.show() and pace:
                await asyncio.sleep(pace)
            bar.update(
                task,
                completed=(now - starts).total_seconds(),
                description=f"{now.astimezone(week.zone):%A %H:%M}",
            )


async def _leave_digest(
    rehearsal: Rehearsal, store: Store, scenario: Scenario, folder: Path, console: Console
) -> None:
    """Show the digest as the therapist got it, and leave its picture and document."""
    with store.read() as uow:
        context = rehearsal.parts.router.context(uow)
        assert context is not None
        therapist = uow.therapists.all()[0]
        assert therapist.digest_until is not None
        span = encoded(send.week_up_to(context.clinic, therapist.digest_until))
        asked = DigestRequest(therapist=therapist.id, language=therapist.language, span=span, at=context.now)
        document = DocumentRequest(
            therapist=therapist.id, family=None, language=therapist.language, span=span, at=context.now
        )
        works = gather(context, document), gather(context, asked)
    document_made, picture_made = (_file(work, context.library) for work in works)
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


def _file(work: Work | None, library: Library) -> bytes:
    """Return the file of what is drawn as one message."""
    assert work is not None
    (drawn,) = work.draw(library)
    assert drawn.attachment is not None and drawn.attachment.content is not None
    return drawn.attachment.content
