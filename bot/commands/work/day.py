"""Planning a day, or many, from files or from lines of JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, tzinfo
from importlib.resources import files
from pathlib import Path
from typing import Any, NoReturn
from zoneinfo import ZoneInfo

import typer

from bot.clock import RealClock
from bot.commands.answer import answer
from bot.commands.documents import Unreadable, read_document
from bot.phrases import Language, Words, words_for
from bot.phrases.because import because_in_words, proof_in_words, why_in_words
from scheduling.case import Case, CaseProblems, Wording, case_from
from scheduling.plan import Plan, PlanProblems, plan_schema

BAD_INPUT = 2


@dataclass(frozen=True, slots=True)
class Given:
    """What a day is planned from. date: the first one, YYYY-MM-DD; start_from, asleep_until: local times, HH:MM."""

    plan: Path | None
    date: str | None
    log: Path | None
    start_from: str | None
    asleep_until: str | None
    days: int


def example_plan() -> Path:
    """Return the file of the plan that is built in."""
    return Path(str(files("bot.commands").joinpath("example_plan.yaml")))


def with_example(given: Given) -> Given:
    if given.plan is not None:
        _stop(["--plan and --example both name a plan; choose one"])
    return replace(given, plan=example_plan())


def print_schema() -> None:
    sys.stdout.write(json.dumps(plan_schema(), indent=2, ensure_ascii=False) + "\n")


def print_example() -> None:
    sys.stdout.write(example_plan().read_text(encoding="utf-8"))


def answer_standard_input(answer: Callable[[object], dict[str, Any]]) -> None:
    """Answer each line of standard input as it comes, one line each."""
    for line in answer_lines(sys.stdin.buffer, answer):
        sys.stdout.write(line + "\n")
        sys.stdout.flush()


def answer_days(language: Language) -> None:
    wording = wording_in(language)
    answer_standard_input(lambda each: _with_hold(case_from(each)).answer(wording))


def run(given: Given, language: Language, *, png: Path | None, as_json: bool) -> None:
    case = _case(given)
    wording = wording_in(language)
    if png:
        _draw(case, language, png)
    said = case.answer(wording)
    if as_json or not png:
        answer(said, _as_text(case.plan, said, words_for(language)), as_json=as_json)


def _case(given: Given) -> Case:
    if given.plan is None:
        _stop(
            ["A plan is needed: underwing day --plan plan.yaml, or underwing day --example for one built in"]
        )
    try:
        plan = read_document(given.plan)
        return _with_hold(
            case_from(
                {
                    "plan": plan,
                    "date": given.date or _today(plan),
                    "days": given.days,
                    "log": read_document(given.log) if given.log else None,
                    "from": given.start_from,
                    "asleep_until": given.asleep_until,
                }
            )
        )
    except PlanProblems as error:
        _stop([f"{given.plan}: {problem}" for problem in error.problems])
    except (CaseProblems, Unreadable) as error:
        _stop([str(problem) for problem in getattr(error, "problems", (error,))])


def _with_hold(case: Case) -> Case:
    """Return a case as its plan's hold of the arm leaves it; which activities move or load the arm is known here alone."""
    if case.plan.arm_hold is None:
        return case
    from bot.activities.arm import rested
    from bot.activities.library import load_library

    return replace(case, plan=rested(case.plan, load_library()))


def _today(plan: Any) -> str:
    """Return the date in a plan's zone; in UTC where the zone cannot be read, which the plan's own check then says."""
    try:
        zone: tzinfo = ZoneInfo(plan["time_zone"])
    except (KeyError, TypeError, ValueError, OSError):
        zone = UTC
    return RealClock().now().astimezone(zone).date().isoformat()


def _draw(case: Case, language: Language, png: Path) -> None:
    # Drawing loads slowly; a day told in words does not wait for it.
    from bot.activities.library import load_library
    from bot.digest.plan_picture import draw_plan

    library = load_library()
    names = {each.activity: library.name(each.activity, language) for each in case.plan.activities}
    _write(png, draw_plan(case.plan, case.planned(), language, names))


def wording_in(language: Language) -> Wording:
    """Return how reasons are said in a language."""
    words = words_for(language)
    return Wording(
        lambda because: because_in_words(because, words),
        lambda why: why_in_words(why, words),
        lambda proof: proof_in_words(proof, words),
    )


def answer_lines(lines: Iterable[bytes], answer: Callable[[object], dict[str, Any]]) -> Iterator[str]:
    """Answer each line, a case in JSON, with one line: what `answer` makes of it, or {"error": …} where it cannot be read."""
    for line in lines:
        yield json.dumps(_answered(line, answer), ensure_ascii=False)


def _answered(line: bytes, answer: Callable[[object], dict[str, Any]]) -> dict[str, Any]:
    try:
        return answer(json.loads(line.decode("utf-8")))
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
        if each["shortfall"]["proof"]:
            yield "  " + each["shortfall"]["proof"]


def _write(path: Path, content: bytes) -> None:
    try:
        path.write_bytes(content)
    except OSError as error:
        _stop([f"{path}: cannot be written ({error.strerror})"])


def _stop(problems: Iterable[str]) -> NoReturn:
    for problem in problems:
        sys.stderr.write(f"{problem}\n")
    raise typer.Exit(BAD_INPUT)
