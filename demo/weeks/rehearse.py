"""A rehearsal as the command line asks for it: from a caseload to a page, a picture, or JSON."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from bot.activities.library import Library
from bot.clock import RealClock
from bot.commands.answer import answer
from bot.errors import WorldProblem
from bot.logs import set_up_logs
from bot.phrases import words_for
from bot.rehearsal.figures import Lived
from bot.rehearsal.fit import fit_of
from bot.rehearsal.living import Trial, monday_after
from bot.rehearsal.picture import picture
from bot.storage.caseload_file import Caseload, FamilySection
from demo.weeks.page import page
from demo.weeks.side_by_side import live_side_by_side
from scheduling.plan import plan_from


def run(
    checked: Caseload,
    chosen: FamilySection,
    library: Library,
    weeks: int,
    seed: int,
    png: Path,
    *,
    as_json: bool,
) -> None:
    """Live the plan of a family of a checked caseload, write the picture and print the page, or JSON."""
    trial = trial_of(checked, chosen, RealClock().now(), days=7 * weeks, seed=seed)
    lived = _live(trial, library)
    plan, first = trial.as_plan, trial.first
    fit = fit_of(plan, first)
    nickname = plan.baby.nickname
    _write(png, picture(plan, nickname, first, lived, words_for("en")))
    value = {
        "family": chosen.id,
        "weeks": weeks,
        "seed": seed,
        "from": first.isoformat(),
        "kinds": [each.as_json() for each in lived],
        "fit": fit.as_json(),
        "picture": str(png),
    }
    names = {each.activity: library.name(each.activity, "en") for each in plan.activities}
    lines = [*page(nickname, weeks, lived, fit, names), "", f"Picture: {png}"]
    answer(value, lines, as_json=as_json)


def trial_of(caseload: Caseload, family: FamilySection, now: datetime, *, days: int, seed: int) -> Trial:
    """Return a family's plan as a trial from its next Monday on."""
    today = now.astimezone(ZoneInfo(plan_from(family.plan).time_zone)).date()
    return Trial(
        clinic=caseload.clinic.model_dump(mode="json"),
        plan=family.plan,
        carers=family.carers[0].language,
        first=monday_after(today),
        days=days,
        seed=seed,
    )


def _live(trial: Trial, library: Library) -> list[Lived]:
    set_up_logs("warning")
    columns = TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn()
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("day 1", total=1.0)

        def show(share: float) -> None:
            bar.update(task, completed=share, description=f"day {int(share * trial.days) + 1}")

        return live_side_by_side(trial, library, show)


def _write(png: Path, content: bytes) -> None:
    try:
        png.write_bytes(content)
    except OSError as error:
        raise WorldProblem(f"{png}: cannot be written ({error.strerror})") from None
