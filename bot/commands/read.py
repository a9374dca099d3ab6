"""`underwing read`: what a reply is read as, from the command line or from lines of JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, BinaryIO, NoReturn

import typer

if TYPE_CHECKING:
    from bot.replies.reading import Entry, Reading, ReplyContext

BAD_INPUT = 2
_COLOURS = {
    "counted": typer.colors.GREEN, "seen": typer.colors.GREEN, "skipped": typer.colors.BLUE, "asked for": typer.colors.BLUE,
    "concern": typer.colors.RED, "asked whether": typer.colors.YELLOW, "sign": typer.colors.MAGENTA,
    "learned": typer.colors.CYAN, "unread": typer.colors.YELLOW,
}  # fmt: skip
CHUNK = 65536  # bytes taken at once from the input


def read(
    text: Annotated[str | None, typer.Argument(help="The reply to read.")] = None,
    context: Annotated[Path | None, typer.Option(help="The context document, JSON.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Answer in JSON.")] = False,
    lines: Annotated[
        bool, typer.Option("--lines", help="Read one case a line, answer one line each.")
    ] = False,
) -> None:
    """Read one carer's reply, or many, and say what the bot makes of it."""
    # The reader and its words load slowly; help and completion do not wait for them.
    from bot.clock import RealClock
    from bot.replies.context import MOST_CHARACTERS, answer_line, default_context
    from bot.replies.reader import read_reply
    from bot.replies.why import why

    now = RealClock().now().astimezone()
    if lines:
        for waiting in _waiting_lines(sys.stdin.buffer):
            sys.stdout.write("".join(f"{answer_line(line, now)}\n" for line in waiting))
            sys.stdout.flush()
        return
    if text is None:
        _stop('A reply is needed: underwing read "tummy 12 min"')
    if len(text) > MOST_CHARACTERS:
        _stop(f"The reply has {len(text)} characters; at most {MOST_CHARACTERS} can be read.")
    given = _context(context) if context else default_context(text, now)
    reading = read_reply(text, given)
    if as_json:
        typer.echo(json.dumps(reading.as_json(), ensure_ascii=False))
        return
    for line in (*in_words(reading), *why(text, given)):
        typer.echo(_coloured(line))


def _context(path: Path) -> ReplyContext:
    from bot.replies.context import BadReply, context_from

    try:
        return context_from(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        _stop(f"{path}: cannot be read ({reason}).")
    except json.JSONDecodeError as error:
        _stop(f"{path}: not JSON at line {error.lineno}, column {error.colno} ({error.msg}).")
    except BadReply as error:
        _stop(f"{path}: {error}")


def _coloured(line: str) -> str:
    """Return a line with its first word in the colour of what it says; a terminal alone shows colours."""
    name, colon, rest = line.partition(":")
    colour = _COLOURS.get(name)
    return f"{typer.style(name + colon, fg=colour, bold=True)}{rest}" if colour else line


def _waiting_lines(source: BinaryIO) -> Iterator[list[str]]:
    """Yield the whole lines that have arrived, as they arrive: whoever waits for an answer before writing on gets it."""
    begun: list[bytes] = []
    while chunk := source.read1(CHUNK):  # type: ignore[attr-defined]
        first, *others = chunk.split(b"\n")
        begun.append(first)
        if others:
            whole = [b"".join(begun), *others[:-1]]
            begun = [others[-1]]
            yield [line.decode("utf-8", errors="replace") for line in whole]
    last = b"".join(begun)
    if last:
        yield [last.decode("utf-8", errors="replace")]


def in_words(reading: Reading) -> list[str]:
    """Return a reading as lines for the terminal, one fact a line."""
    lines = [_entry(entry) for entry in reading.entries]
    if reading.skipped:
        lines.append(f"skipped: {reading.skipped}")
    lines += [f"seen: {seen.kind}{f' ({seen.side})' if seen.side else ''}" for seen in reading.observations]
    if reading.request:
        parts = [reading.request.kind, reading.request.activity or ""]
        parts += [f"in {reading.request.minutes:g} min"] if reading.request.minutes is not None else []
        lines.append("asked for: " + " ".join(filter(None, parts)))
    if reading.concern:
        lines.append(f"concern: {reading.concern.urgency} ({', '.join(reading.concern.topics)})")
    if reading.unclear:
        lines.append(f"asked whether: {reading.unclear.urgency} ({', '.join(reading.unclear.topics)})")
    if reading.confirm:
        lines.append("to be asked before anything is counted")
    if reading.unread:
        lines.append(f"unread: {reading.unread}")
    return lines or ["nothing"]


def _entry(entry: Entry) -> str:
    minutes = "an unknown number of" if entry.minutes is None else f"{entry.minutes:g}"
    parts = [f"counted: {entry.activity or 'an unnamed activity'}, {minutes} min", entry.side or ""]
    parts += [
        f"{-entry.day_offset} day(s) ago" if entry.day_offset else "",
        f"at {entry.at}" if entry.at else "",
    ]
    return ", ".join(filter(None, parts))


def _stop(problem: str) -> NoReturn:
    sys.stderr.write(problem + "\n")
    raise typer.Exit(BAD_INPUT)
