"""The caseload file: how a clinic brings in its therapists, families and plans.

Loading is idempotent: what the file said before and says again changes nothing, so that what was changed in chat since
then stays. A file with any problem changes nothing at all.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Annotated, Any, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import yaml
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError, field_validator
from pydantic_core import ErrorDetails

from bot.domain.ids import CarerId, ChatId, FamilyId, TherapistId
from bot.errors import InputProblem, said_of
from scheduling.plan import PlanProblems, plan_from

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
LARGEST_FILE = 50_000_000  # bytes
Id = Field(pattern=r"^[A-Za-z0-9_.-]{1,40}$")


def _as_text(value: object) -> object:
    """A telephone number without quotes is a number to YAML; here it is text all the same."""
    return str(value) if isinstance(value, int) and not isinstance(value, bool) else value


Line = Annotated[str, BeforeValidator(_as_text), Field(min_length=1, max_length=200)]
"""A telephone number, or the words that stand for one."""


def _day(value: object) -> object:
    return date.fromisoformat(value) if isinstance(value, str) else value


TaughtOn = Annotated[date, BeforeValidator(_day)]
"""The date on which a therapist taught a carer an activity."""


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class DigestTime(_Strict):
    weekday: Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"] = "sunday"
    at: str = Field(default="18:00", pattern=r"^([01][0-9]|2[0-3]):[0-5][0-9]$")


class ClinicSection(_Strict):
    name: str = Field(min_length=1, max_length=200)
    time_zone: str
    emergency_line: Line
    nurse_line: Line
    crisis_line: Line | None = None
    digest: DigestTime = Field(default_factory=DigestTime)

    @field_validator("time_zone")
    @classmethod
    def _known_zone(cls, value: str) -> str:
        try:
            ZoneInfo(value)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            raise ValueError("must be an IANA zone name such as America/Halifax") from None
        return value


class TherapistSection(_Strict):
    id: TherapistId = Id
    chat_id: ChatId | None = None
    name: str = Field(min_length=1, max_length=100)
    language: Literal["en", "es"] = "en"


class CarerSection(_Strict):
    id: CarerId = Id
    chat_id: ChatId | None = None
    name: str = Field(min_length=1, max_length=100)
    language: Literal["en", "es"] = "en"
    role: str = Field(default="parent", min_length=1, max_length=20)
    consented: bool = False
    taught: dict[str, TaughtOn] | None = None


class NumbersSection(_Strict):
    """Whom one family calls in place of the clinic's numbers."""

    emergency_line: Line | None = None
    nurse_line: Line | None = None
    crisis_line: Line | None = None


class FamilySection(_Strict):
    id: FamilyId = Id
    therapist: TherapistId
    numbers: NumbersSection | None = None
    plan: Any
    carers: list[CarerSection] = Field(min_length=1)
    prompts_to: list[str] | None = None


class Caseload(_Strict):
    clinic: ClinicSection
    therapists: list[TherapistSection] = Field(min_length=1)
    families: list[FamilySection]


@dataclass(frozen=True, slots=True)
class _At:
    """A problem and its place in the file."""

    path: str
    message: str

    def __str__(self) -> str:
        return f"{self.path}: {self.message}" if self.path else self.message


def read_caseload(path: Path, known_activities: Sequence[str]) -> Caseload:
    """Read a JSON or YAML caseload file. Raises InputProblem with one sentence a problem, each naming its place."""
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise InputProblem(f"{path}: is larger than {LARGEST_FILE // 1_000_000} MB; split the caseload")
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        raise InputProblem(f"{path}: cannot be read ({error.strerror}); name a JSON or YAML file") from None
    except UnicodeDecodeError:
        raise InputProblem(f"{path}: is not UTF-8 text; save it as UTF-8") from None
    return caseload_from(_parsed(text, path), known_activities, where=str(path))


def _parsed(text: str, path: Path) -> object:
    if path.suffix.lower() == ".json":
        try:
            return json.loads(text)
        except (ValueError, RecursionError) as error:
            raise InputProblem(f"{path}: is not JSON ({str(error).splitlines()[0]})") from None
    try:
        return yaml.load(text, Loader=_PlainLoader)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        line = f" line {mark.line + 1}" if mark else ""
        reason = getattr(error, "problem", None) or "cannot be read"
        raise InputProblem(
            f"{path}:{line} is not YAML ({reason}); look there for a bracket, a quote or an indent that is off"
        ) from None
    except (RecursionError, ValueError) as error:
        raise InputProblem(f"{path}: is not YAML ({str(error).splitlines()[0]})") from None


class _PlainLoader(yaml.SafeLoader):
    """YAML whose dates and clock times stay text, as in JSON: 07:30 is a time here, not 450."""


_KEPT = ("tag:yaml.org,2002:timestamp",)
_PlainLoader.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in resolvers if tag not in _KEPT]
    for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
# YAML 1.1 reads 18:00 as the sexagesimal number 1080; numbers with a colon are left out of the integers and floats.
for _first, _resolvers in _PlainLoader.yaml_implicit_resolvers.items():
    _PlainLoader.yaml_implicit_resolvers[_first] = [
        (
            tag,
            re.compile(r"[-+]?(0|[1-9][0-9_]*)$")
            if tag == "tag:yaml.org,2002:int"
            else re.compile(
                r"[-+]?([0-9][0-9_]*\.[0-9_]*([eE][-+]?[0-9]+)?|\.[0-9]+([eE][-+]?[0-9]+)?|[0-9]+[eE][-+]?[0-9]+|\.(inf|Inf|INF)|\.(nan|NaN|NAN))$"
            )
            if tag == "tag:yaml.org,2002:float"
            else pattern,
        )
        for tag, pattern in _resolvers
    ]


def caseload_from(document: object, known_activities: Sequence[str], *, where: str) -> Caseload:
    """Check a parsed caseload. Raises InputProblem with every problem found."""
    if not isinstance(document, dict):
        raise InputProblem(f"{where}: is empty or no caseload; it must hold clinic, therapists and families")
    problems: list[_At] = []
    caseload = None
    try:
        caseload = Caseload.model_validate(document)
    except ValidationError as error:
        problems += [_At(_path(problem["loc"]), _message(problem)) for problem in error.errors()]
    problems += _plan_problems(document, known_activities)
    if caseload is not None:
        problems += _cross_problems(caseload)
        problems += _taught_problems(caseload, known_activities)
    if problems or caseload is None:
        raise InputProblem([f"{where}: {problem}" for problem in problems])
    return caseload


def _plan_problems(document: dict[str, Any], known_activities: Sequence[str]) -> Iterator[_At]:
    families = document.get("families")
    for index, family in enumerate(families if isinstance(families, list) else []):
        if not isinstance(family, dict) or "plan" not in family:
            continue
        at = f"families[{index}].plan"
        try:
            plan = plan_from(family["plan"])
        except PlanProblems as error:
            for problem in error.problems:
                yield _At(f"{at}.{problem.path}" if problem.path else at, problem.message)
            continue
        for place, activity in enumerate(plan.activities):
            if activity.activity not in known_activities:
                yield _At(
                    f"{at}.activities[{place}].activity",
                    f"{activity.activity!r} is not in the activity library; use one of its ids, or add a file of your own",
                )


def _cross_problems(caseload: Caseload) -> Iterator[_At]:
    therapist_ids = [therapist.id for therapist in caseload.therapists]
    yield from _repeated("therapists", therapist_ids)
    yield from _repeated("families", [family.id for family in caseload.families])
    therapist_chats = {t.chat_id: t.id for t in caseload.therapists if t.chat_id is not None}
    if len(therapist_chats) < sum(t.chat_id is not None for t in caseload.therapists):
        yield _At("therapists", "two therapists have the same chat_id; each needs their own")
    for index, family in enumerate(caseload.families):
        at = f"families[{index}]"
        if family.therapist not in therapist_ids:
            yield _At(f"{at}.therapist", f"{family.therapist!r} is no id of a therapist in this file")
        yield from _repeated(f"{at}.carers", [carer.id for carer in family.carers])
        chats = Counter(carer.chat_id for carer in family.carers if carer.chat_id is not None)
        for chat_id, count in chats.items():
            if count > 1:
                yield _At(
                    f"{at}.carers", f"chat_id {chat_id} stands twice in one family; one chat is one carer"
                )
            if chat_id in therapist_chats:
                yield _At(
                    f"{at}.carers", f"chat_id {chat_id} is therapist {therapist_chats[chat_id]}'s own chat"
                )
        known = {carer.id for carer in family.carers}
        for place, carer_id in enumerate(family.prompts_to or []):
            if carer_id not in known:
                yield _At(f"{at}.prompts_to[{place}]", f"{carer_id!r} is no id of a carer of this family")


def _taught_problems(caseload: Caseload, known_activities: Sequence[str]) -> Iterator[_At]:
    for index, family in enumerate(caseload.families):
        for place, carer in enumerate(family.carers):
            for activity in carer.taught or {}:
                if activity not in known_activities:
                    at = f"families[{index}].carers[{place}].taught.{activity}"
                    yield _At(at, "is not in the activity library; use one of its ids")


def _repeated(path: str, ids: Sequence[str]) -> Iterator[_At]:
    for name, count in Counter(ids).items():
        if count > 1:
            yield _At(path, f"id {name!r} stands {count} times; each id once")


def _path(loc: Sequence[int | str]) -> str:
    path = ""
    for part in loc:
        path += f"[{part}]" if isinstance(part, int) else f".{part}" if path else part
    return path


def _message(problem: ErrorDetails) -> str:
    if problem["type"] == "extra_forbidden":
        return "is not a known field; check its spelling"
    if problem["type"] == "missing":
        return "is missing"
    value = repr(problem["input"])
    return f"{value if len(value) <= 80 else value[:77] + '…'}: {said_of(problem)}"
