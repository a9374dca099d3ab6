"""`underwing day`: plan a day, or many, from files or from lines of JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Annotated, Any, Literal, NoReturn

import typer

from bot.commands.documents import Unreadable, read_document
from bot.phrases import Words, words_for
from bot.phrases.because import because_in_words, why_in_words
from scheduling.case import CaseProblems, Wording, case_from
from scheduling.plan import Plan, PlanProblems, plan_schema

BAD_INPUT = 2


def day(
    plan: Annotated[Path | None, typer.Option(help="The plan document, JSON or YAML.")] = None,
    date: Annotated[str | None, typer.Option(help="The first date to plan, YYYY-MM-DD.")] = None,
    log: Annotated[Path | None, typer.Option(help="What was done: a list of entries, JSON or YAML.")] = None,
    start_from: Annotated[
        str | None, typer.Option("--from", help="Nothing starts before this local time, HH:MM.")
    ] = None,
    asleep_until: Annotated[str | None, typer.Option(help="Nothing starts while asleep, HH:MM.")] = None,
    days: Annotated[int, typer.Option(help="How many days to plan, 1 to 366.")] = 1,
    as_json: Annotated[bool, typer.Option("--json", help="Answer in JSON.")] = False,
    lines: Annotated[
        bool, typer.Option("--lines", help="Read one case a line, answer one line each.")
    ] = False,
    schema: Annotated[
        bool, typer.Option("--schema", help="Print the JSON Schema of a plan document.")
    ] = False,
    png: Annotated[Path | None, typer.Option(help="Draw the planned days into this file.")] = None,
    language: Annotated[Literal["en", "es"], typer.Option(help="The language of reasons.")] = "en",
) -> None:
    """Plan a family's day: what to prompt, on which side, when and for how long."""
    if schema:
        sys.stdout.write(json.dumps(plan_schema(), indent=2, ensure_ascii=False) + "\n")
        return
    if lines:
        for line in answer_lines(sys.stdin.buffer, wording_in(language)):
            sys.stdout.write(line + "\n")
            sys.stdout.flush()
        return
    if plan is None or date is None:
        _stop(["--plan and --date are needed: underwing day --plan plan.json --date 2026-03-04"])
    try:
        case = case_from(
            {
                "plan": read_document(plan),
                "date": date,
                "days": days,
                "log": read_document(log) if log else None,
                "from": start_from,
                "asleep_until": asleep_until,
            }
        )
    except PlanProblems as error:
        _stop([f"{plan}: {problem}" for problem in error.problems])
    except (CaseProblems, Unreadable) as error:
        _stop([str(problem) for problem in getattr(error, "problems", (error,))])
    wording = wording_in(language)
    if png:
        from bot.activities.library import load_library
        from bot.digest.plan_picture import draw_plan

        library = load_library()
        names = {each.activity: library.name(each.activity, language) for each in case.plan.activities}
        _write(png, draw_plan(case.plan, case.planned(), language, names))
    answer = case.answer(wording)
    if as_json:
        sys.stdout.write(json.dumps(answer, ensure_ascii=False) + "\n")
    elif not png:
        sys.stdout.writelines(f"{line}\n" for line in _as_text(case.plan, answer, words_for(language)))


def wording_in(language: str) -> Wording:
    """Return how reasons are said in a language."""
    words = words_for(language)
    return Wording(lambda because: because_in_words(because, words), lambda why: why_in_words(why, words))


def answer_lines(lines: Iterable[bytes], wording: Wording) -> Iterator[str]:
    """Answer each line, a case in JSON, with one line: the days, or {"error": …} where the line cannot be read."""
    for line in lines:
        yield json.dumps(_answer(line, wording), ensure_ascii=False)


def _answer(line: bytes, wording: Wording) -> dict[str, Any]:
    try:
        return case_from(json.loads(line.decode("utf-8"))).answer(wording)
    except json.JSONDecodeError as error:
        return {"error": f"not JSON at column {error.colno} ({error.msg})"}
    except UnicodeDecodeError:
        return {"error": "not UTF-8 text"}
    except RecursionError:
        return {"error": "nested too deeply"}
    except ValueError as error:
        return {"error": str(error)}


def _as_text(plan: Plan, answer: dict[str, Any], words: Words) -> Iterator[str]:
    times = {each.activity for each in plan.activities if each.counts_times}
    times |= {each.goal for each in plan.goals if each.counts_times}
    for each in answer["days"]:
        yield each["date"]
        for prompt in each["prompts"]:
            side = words.plain(f"because.{prompt['side']}") if prompt["side"] else None
            key = "because.asked_side" if side else "because.asked"
            yield "  " + words.plain(key, **(prompt | {"at": prompt["at"][11:16], "side": side}))
        for row in [*each["targets"], *each["goals"]]:
            if row["short"]:
                name = row.get("activity") or row["goal"]
                key = "because.missing_times" if name in times else "because.missing"
                yield "  " + words.plain(key, **(row | {"activity": name}))


def _write(path: Path, content: bytes) -> None:
    try:
        path.write_bytes(content)
    except OSError as error:
        _stop([f"{path}: cannot be written ({error.strerror})"])


def _stop(problems: Iterable[str]) -> NoReturn:
    for problem in problems:
        sys.stderr.write(f"{problem}\n")
    raise typer.Exit(BAD_INPUT)
