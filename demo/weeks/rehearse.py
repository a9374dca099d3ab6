"""A rehearsal as the command line asks for it: from a caseload to a page, a picture, or JSON."""

from __future__ import annotations

from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from bot.activities.library import Library
from bot.clock import RealClock
from bot.commands.answer import answer
from bot.errors import InputProblem, WorldProblem
from bot.logs import set_up_logs
from bot.messenger.installation import library_of
from bot.settings import load_settings
from bot.storage.caseload_file import Caseload, FamilySection, read_caseload
from demo.weeks.figures import Lived
from demo.weeks.fit import fit_of
from demo.weeks.live import Trial, trial_of
from demo.weeks.page import page
from demo.weeks.picture import picture
from demo.weeks.side_by_side import live_side_by_side


def run(
    caseload: Path,
    weeks: int,
    family: str | None,
    seed: int,
    png: Path,
    env_file: Path | None,
    *,
    as_json: bool,
) -> None:
    set_up_logs("warning")
    library = library_of(load_settings(env_file))
    checked = read_caseload(caseload, list(library))
    trial = trial_of(checked, _chosen(checked, family), RealClock().now(), days=7 * weeks, seed=seed)
    lived = _live(trial, library)
    first = trial.starts.date()
    fit = fit_of(trial.plan, first)
    nickname = trial.plan.baby.nickname
    _write(png, picture(trial.plan, nickname, first, lived))
    value = {
        "family": trial.family.id,
        "weeks": weeks,
        "seed": seed,
        "from": first.isoformat(),
        "kinds": [each.as_json() for each in lived],
        "fit": fit.as_json(),
        "picture": str(png),
    }
    names = {each.activity: library.name(each.activity, "en") for each in trial.plan.activities}
    lines = [*page(nickname, weeks, lived, fit, names), "", f"Picture: {png}"]
    answer(value, lines, as_json=as_json)


def _live(trial: Trial, library: Library) -> list[Lived]:
    columns = TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn()
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("day 1", total=1.0)

        def show(share: float) -> None:
            bar.update(task, completed=share, description=f"day {int(share * trial.days) + 1}")

        return live_side_by_side(trial, library, show)


def _chosen(caseload: Caseload, family: str | None) -> FamilySection:
    found = next((each for each in caseload.families if family in (None, each.id)), None)
    if found is None:
        known = ", ".join(each.id for each in caseload.families) or "none"
        raise InputProblem(f"--family {family!r}: the caseload has no such family; it has {known}")
    return found


def _write(png: Path, content: bytes) -> None:
    try:
        png.write_bytes(content)
    except OSError as error:
        raise WorldProblem(f"{png}: cannot be written ({error.strerror})") from None
