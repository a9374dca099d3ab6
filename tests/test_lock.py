"""What an installation fetches is pinned and checked by a hash, and the pins are those of pyproject.toml."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

REPOSITORY = Path(__file__).parents[1]
PROJECT = tomllib.loads((REPOSITORY / "pyproject.toml").read_text(encoding="utf-8"))
BUILDS = PROJECT["dependency-groups"]["build"]
RUNS = PROJECT["project"]["dependencies"]
TESTS = PROJECT["project"]["optional-dependencies"]["test"]


@dataclass(frozen=True, slots=True)
class Pin:
    version: str
    hashes: int
    wanted_by: frozenset[str]


def _pins(path: str) -> dict[str, Pin]:
    """Read a lock: each package with its version, the number of its hashes, and who wants it."""
    text = (REPOSITORY / path).read_text(encoding="utf-8")
    pins: dict[str, Pin] = {}
    for name, version, rest in re.findall(
        r"^([A-Za-z0-9._-]+)(?:\[\w+\])?==([^ ]+)(.*\n(?:    .*\n)*)", text, re.MULTILINE
    ):
        wanted_by = re.findall(r"^    # (?:via |  )([a-z0-9-]+)", rest, re.MULTILINE)
        hashes = len(re.findall(r"--hash=sha256:[0-9a-f]{64}\b", rest))
        pins[canonicalize_name(name)] = Pin(version, hashes, frozenset(wanted_by))
    return pins


RUNNING, TESTING = _pins("requirements.lock"), _pins("tests/requirements.lock")
BOTH_LOCKS = pytest.mark.parametrize(
    ("pins", "asked"),
    [(RUNNING, [*RUNS, *BUILDS]), (TESTING, [*RUNS, *TESTS, *BUILDS])],
    ids=["running", "testing"],
)


@BOTH_LOCKS
def test_all_that_the_project_asks_for_is_pinned_as_it_asks(pins: dict[str, Pin], asked: list[str]) -> None:
    for requirement in map(Requirement, asked):
        pin = pins[canonicalize_name(requirement.name)]
        assert requirement.specifier.contains(pin.version), f"{requirement} is pinned to {pin.version}"


@BOTH_LOCKS
def test_nothing_is_pinned_that_nobody_asks_for(pins: dict[str, Pin], asked: list[str]) -> None:
    roots = {canonicalize_name(Requirement(each).name) for each in asked}

    assert {name for name, pin in pins.items() if not pin.wanted_by & (pins.keys() | {"underwing"})} == set()
    assert {name for name, pin in pins.items() if "underwing" in pin.wanted_by} == roots


def test_every_pin_has_a_hash_and_both_locks_agree() -> None:
    assert min(pin.hashes for pin in [*RUNNING.values(), *TESTING.values()]) > 0
    assert {name: pin.version for name, pin in RUNNING.items()}.items() <= {
        name: pin.version for name, pin in TESTING.items()
    }.items()


@pytest.mark.parametrize("path", ["README.md", "deploy/Containerfile", ".ci/fresh"])
def test_every_installation_checks_hashes_or_fetches_nothing(path: str) -> None:
    text = (REPOSITORY / path).read_text(encoding="utf-8").replace("\\\n", " ")
    installs = re.findall(r"""pip"? (?:install|wheel) ([^\n`&]+)""", text)

    assert len(installs) >= 2
    assert [each for each in installs if not ("--require-hashes -r" in each or "--no-deps" in each)] == []
