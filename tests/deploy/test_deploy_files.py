"""The files of deploy/ against the program that they run."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
import yaml
from prometheus_client import generate_latest

from bot.messenger.metrics import Metrics
from bot.settings import Settings, load_settings

REPOSITORY = Path(__file__).parents[2]
DEPLOY = REPOSITORY / "deploy"
EXAMPLE = (DEPLOY / "underwing.env.example").read_text(encoding="utf-8")
CONTAINER = (DEPLOY / "Containerfile").read_text(encoding="utf-8")
NAMED = re.findall(r"^#?(UNDERWING_[A-Z_]+)=", EXAMPLE, re.MULTILINE)


def compose() -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load((DEPLOY / "compose.yaml").read_text(encoding="utf-8"))
    return found


def test_the_example_of_settings_names_every_setting_once_and_no_other() -> None:
    assert sorted(NAMED) == sorted(f"UNDERWING_{name.upper()}" for name in Settings.model_fields)


def test_every_value_of_the_example_is_one_that_can_be_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in NAMED:
        monkeypatch.delenv(name, raising=False)
    whole = tmp_path / "all.env"
    whole.write_text(re.sub(r"^#(UNDERWING_)", r"\1", EXAMPLE, flags=re.MULTILINE), encoding="utf-8")
    settings = load_settings(whole)

    assert settings.webhook_url == "https://bot.example.org"
    assert settings.bot_token().startswith("123456:")


def test_each_setting_of_the_example_has_a_sentence_above_it() -> None:
    blocks = [block for block in EXAMPLE.split("\n\n") if "UNDERWING_" in block]

    assert all(re.match(r"# [A-Z]", block) for block in blocks)


def test_the_container_copies_what_is_there_runs_without_root_and_is_watched() -> None:
    copied = [
        name
        for line in re.findall(r"^COPY (?!--)(.+)$", CONTAINER, re.MULTILINE)
        for name in line.split()[:-1]
    ]

    assert {"bot", "scheduling", "demo", "pyproject.toml"} <= set(copied)
    assert [name for name in copied if not (REPOSITORY / name).exists()] == []
    assert CONTAINER.index("\nUSER underwing") < CONTAINER.index("\nENTRYPOINT")
    assert "/health" in CONTAINER and '"/health"' in (REPOSITORY / "bot/messenger/watching.py").read_text(
        encoding="utf-8"
    )


def test_settings_in_the_container_and_the_compose_file_are_settings() -> None:
    worker = compose()["services"]["worker"]
    named = re.findall(r"UNDERWING_[A-Z_]+", CONTAINER) + list(worker["environment"])

    assert {name.removeprefix("UNDERWING_").lower() for name in named} <= set(Settings.model_fields)


def test_the_compose_file_hangs_together_and_the_worker_is_locked_down() -> None:
    whole = compose()
    worker = whole["services"]["worker"]
    mounted = {
        volume.partition(":")[0] for service in whole["services"].values() for volume in service["volumes"]
    }

    assert {name for name in mounted if not name.startswith("./")} == set(whole["volumes"])
    assert [name for name in mounted if name.startswith("./") and not (DEPLOY / name).exists()] == []
    assert {s for service in whole["services"].values() for s in service.get("secrets", [])} == set(
        whole["secrets"]
    )
    assert (worker["read_only"], worker["cap_drop"]) == (True, ["ALL"])
    assert worker["depends_on"]["database"] == {"condition": "service_healthy"}
    assert all(
        port.startswith("127.0.0.1:") for s in whole["services"].values() for port in s.get("ports", [])
    )


def rules() -> list[dict[str, Any]]:
    document = yaml.safe_load((DEPLOY / "alerts.yaml").read_text(encoding="utf-8"))
    return [rule for group in document["groups"] for rule in group["rules"]]


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule["alert"])
def test_alerts_ask_for_figures_that_the_bot_gives(rule: dict[str, Any]) -> None:
    shown = generate_latest(Metrics().registry).decode()
    kinds = dict(re.findall(r"^# TYPE (\S+) (\S+)", shown, re.MULTILINE))
    given = {f"{name}_bucket" if kind == "histogram" else name for name, kind in kinds.items()}
    asked = set(re.findall(r"\b(up|underwing_\w+)\b", rule["expr"]))

    assert asked - {"up"} <= given
    assert rule["annotations"]["summary"]


def test_the_scraper_reads_the_rules_and_asks_the_worker() -> None:
    scraper = yaml.safe_load((DEPLOY / "prometheus.yaml").read_text(encoding="utf-8"))

    assert scraper["rule_files"] == ["alerts.yaml"]
    assert scraper["scrape_configs"][0]["static_configs"] == [{"targets": ["worker:8080"]}]


def test_the_backup_timer_removes_copies_older_than_thirty_days_and_nothing_else(tmp_path: Path) -> None:
    unit = (DEPLOY / "underwing-backup.service").read_text(encoding="utf-8")
    command = re.findall(r"^ExecStartPost=(.+)$", unit, re.MULTILINE)[0]
    assert "older than 30 days are removed" in unit
    now = time.time()
    for name, days in (
        ("underwing-a.backup", 32),
        ("underwing-b.backup", 29),
        ("underwing-c.backup", 0),
        ("key", 400),
    ):
        (tmp_path / name).touch()
        os.utime(tmp_path / name, (now - days * 86400,) * 2)
    subprocess.run(
        [str(tmp_path) if part == "/var/backups/underwing" else part for part in shlex.split(command)],
        check=True,
    )

    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "key",
        "underwing-b.backup",
        "underwing-c.backup",
    ]


NEEDS_PROMTOOL = pytest.mark.skipif(
    shutil.which("promtool") is None, reason="promtool is not here: apt-get install prometheus"
)


def run(*command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, capture_output=True, text=True, check=False)


@NEEDS_PROMTOOL
@pytest.mark.parametrize(
    "asked",
    [("check", "rules", "alerts.yaml"), ("check", "config", "prometheus.yaml")],
    ids=["rules", "configuration"],
)
def test_the_scrapers_own_tool_takes_the_files(asked: tuple[str, ...]) -> None:
    *what, file = asked
    done = run("promtool", *what, str(DEPLOY / file))

    assert done.returncode == 0, done.stdout + done.stderr


@NEEDS_PROMTOOL
def test_each_alert_fires_when_it_should_and_only_then() -> None:
    scenes = Path(__file__).parent / "alerts_fired.yaml"
    tried = set(re.findall(r"alertname: (\w+)", scenes.read_text(encoding="utf-8")))
    done = run("promtool", "test", "rules", str(scenes))

    assert tried == {rule["alert"] for rule in rules()}
    assert done.returncode == 0, done.stdout + done.stderr


# The schema: github.com/compose-spec/compose-spec, schema/compose-spec.json, as the checker brings it along.
COMPOSE_CHECK = (sys.executable, "-m", "check_jsonschema", "--builtin-schema", "vendor.compose-spec")


def test_the_compose_file_is_one_by_the_published_schema(tmp_path: Path) -> None:
    done = run(*COMPOSE_CHECK, str(DEPLOY / "compose.yaml"))
    broken = tmp_path / "compose.yaml"
    broken.write_text(yaml.safe_dump(compose() | {"services": {"worker": {"read_onyl": True}}}))

    assert done.returncode == 0, done.stdout + done.stderr
    assert run(*COMPOSE_CHECK, str(broken)).returncode == 1


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="systemd-analyze is not here")
@pytest.mark.parametrize("unit", ["underwing.service", "underwing-backup.service", "underwing-backup.timer"])
def test_the_units_are_understood_by_systemd(unit: str) -> None:
    done = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", str(DEPLOY / unit)],
        capture_output=True,
        text=True,
        check=False,
    )
    # The program is installed by the steps of the README, not here.
    said = [line for line in done.stderr.splitlines() if "is not executable" not in line]

    assert said == []
