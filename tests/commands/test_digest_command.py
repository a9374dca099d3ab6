"""`underwing digest`, to the letter of the caseload's specification, on a database of its own."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from bot.commands import main
from tests.commands.made_week import make_week


@pytest.fixture(scope="module")
def environment(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    return make_week(tmp_path_factory.mktemp("week"))


@pytest.fixture
def run(
    environment: dict[str, str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Any:
    """Run a command line and return (exit status, standard output, standard error)."""
    for name, value in environment.items():
        monkeypatch.setenv(name, value)

    def run(*arguments: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["underwing", *arguments])
        with pytest.raises(SystemExit) as ended:
            main()
        said = capsys.readouterr()
        return int(ended.value.code or 0), said.out, said.err

    return run


def test_the_json_of_a_week_is_the_specifications(run: Any) -> None:
    status, out, err = run("digest", "--family", "f1", "--week", "2026-W10", "--json")

    assert (status, err) == (0, "")
    assert json.loads(out) == {
        "family": "f1",
        "week": "2026-W10",
        "from": "2026-03-02",
        "to": "2026-03-08",
        "baby": {"age_weeks": 15, "corrected_weeks": 15},
        # Targets: three days of 40 and four of 30, since the plan changed on Thursday; 15 a day for the football hold.
        "activities": [
            {
                "activity": "tummy_time", "target_minutes": 240, "minutes": 20, "left": 0, "right": 0, "unsided": 20,
                "sessions": 3, "days_with_any": 2,
            },
            {
                "activity": "football_hold", "target_minutes": 105, "minutes": 15, "left": 5, "right": 10, "unsided": 0,
                "sessions": 2, "days_with_any": 1,
            },
        ],
        # Word from Monday to Thursday, eight waking hours each.
        "prone": {"minutes": 20, "awake_minutes": 4 * 480, "share": 20 / (4 * 480)},
        "prompts": {"sent": 5, "answered": 2, "later": 1, "skipped": 1, "expired": 1},
        "skips": {"asleep": 1},
        "observations": [{"kind": "head_turn", "side": "right", "count": 1, "previous_week": None}],
        "confidence": [{"activity": "football_hold", "latest": 8, "previous": 5}],
        "concerns": [
            {
                "at": "2026-03-04T11:00:00-04:00", "carer": "Mum", "urgency": "tell_therapist",
                "text": "she looks to one side a lot", "answered_at": None,
            }
        ],
        "questions": [
            {
                "at": "2026-03-04T12:00:00-04:00", "carer": "Grandpa", "urgency": None, "text": "¿con ropa?",
                "answered_at": "2026-03-04T13:00:00-04:00",
            }
        ],
        "unread": [{"at": "2026-03-05T08:00:00-04:00", "carer": "Mum", "text": "mumble mumble"}],
        "carers": [
            {"carer": "Mum", "entries": 4, "minutes": 27},
            {"carer": "Grandpa", "entries": 1, "minutes": 8},
        ],
        "days_without_word": 3,
        "plan_changes": [
            {
                "at": "2026-03-05T12:00:00-04:00", "version": 2, "text": "Less, more often",
                "changes": [{"what": "target", "activity": "tummy_time", "before": "40", "after": "30"}],
            }
        ],
        "notes": [],
    }  # fmt: skip


def test_a_week_without_word_is_null_and_never_zero(run: Any) -> None:
    status, out, _ = run("digest", "--family", "f1", "--week", "2026-W11", "--json")
    digest = json.loads(out)

    assert status == 0
    assert {a["minutes"] for a in digest["activities"]} == {None}
    assert {a["sessions"] for a in digest["activities"]} == {None}
    assert digest["prone"] == {"minutes": None, "awake_minutes": None, "share": None}
    assert digest["days_without_word"] == 7
    assert digest["observations"] == [
        {"kind": "head_turn", "side": "right", "count": None, "previous_week": 1}
    ]


def test_a_week_before_the_family_began_asks_for_nothing(run: Any) -> None:
    _, out, _ = run("digest", "--family", "f1", "--week", "2026-W09", "--json")
    digest = json.loads(out)

    assert (digest["activities"], digest["days_without_word"], digest["prompts"]["sent"]) == ([], 0, 0)


def test_without_a_form_the_digest_is_printed_as_text(run: Any) -> None:
    status, out, _ = run("digest", "--family", "f1", "--week", "2026-W10")

    assert status == 0
    assert out == run("digest", "--family", "f1", "--week", "2026-W10", "--text")[1]
    assert "Mon 2 Mar to Sun 8 Mar" in out
    assert re.search(r"Tummy time\W+20\W.*150\b.*1 without a length", out)
    assert "Tummy time 40 min → 30 min a day. Less, more often." in out
    assert "elbow flexion 4" in out


def test_every_form_is_written_to_the_file_that_is_named(run: Any, tmp_path: Path) -> None:
    files = {form: tmp_path / f"week.{form}" for form in ("pdf", "png", "csv", "fhir")}
    options = [part for form, path in files.items() for part in (f"--{form}", str(path))]
    status, out, err = run("digest", "--family", "f1", "--week", "2026-W10", *options)

    assert (status, out, err) == (0, "", "")
    assert "Pip" in PdfReader(files["pdf"]).pages[1].extract_text()
    assert files["png"].read_bytes().startswith(b"\x89PNG")
    assert len(files["csv"].read_text().splitlines()) == 6
    assert json.loads(files["fhir"].read_text())["resourceType"] == "Bundle"


@pytest.mark.parametrize(
    ("arguments", "status", "says"),
    [
        (("--family", "f9"), 2, "--family 'f9' is no family in this database"),
        (("--family", "f1", "--week", "2026-10"), 2, "--week '2026-10' is no ISO 8601 week; write it like 2026-W10"),
        (("--family", "f1", "--week", "2026-W60"), 2, "is no ISO 8601 week"),
        (("--family", "f1", "--week", "2026-W10", "--pdf", "/nowhere/at/all.pdf"), 1, "/nowhere/at/all.pdf: cannot be written"),
        (("--family", "f1", "--json", "--text"), 2, "choose one"),
        ((), 2, "--family"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_in_one_sentence_without_a_traceback(
    run: Any, arguments: tuple[str, ...], status: int, says: str
) -> None:
    ended, out, err = run("digest", *arguments)

    assert (ended, out) == (status, "")
    assert says in err
    assert "Traceback" not in err


def test_an_export_holds_every_form_and_the_messages_verbatim(run: Any, tmp_path: Path) -> None:
    folder = tmp_path / "new" / "f1"
    status, _, err = run("export", "--family", "f1", "--to", str(folder), "--bot-name", "underwing_bot")

    assert (status, err) == (0, "")
    assert sorted(path.name for path in folder.iterdir()) == [
        "digest.json", "digest.pdf", "digest.png", "digest.txt", "fridge-sheet-en.pdf", "fridge-sheet-es.pdf",
        "messages.json", "plans.json", "record.fhir.json", "sessions.csv", "visit-note.pdf", "visit-note.txt", "visits.ics",
    ]  # fmt: skip
    messages = json.loads((folder / "messages.json").read_text())
    assert messages[0]["text"] == "tummy 12"
    assert messages[-1] == {
        "id": 7, "at": "2026-03-05T08:00:00-04:00", "edited_at": None, "carer": "Mum", "kind": "text",
        "text": "mumble mumble", "unread": "mumble mumble",
    }  # fmt: skip
    assert len((folder / "sessions.csv").read_text().splitlines()) == 6
    assert b"20260312T100000" in (folder / "visits.ics").read_bytes()
    assert [plan["version"] for plan in json.loads((folder / "plans.json").read_text())] == [1, 2]
    assert folder.stat().st_mode & 0o077 == 0


def test_an_export_into_a_folder_that_holds_something_is_refused_and_changes_nothing(
    run: Any, tmp_path: Path
) -> None:
    (tmp_path / "mine.txt").write_text("keep me")
    status, out, err = run("export", "--family", "f1", "--to", str(tmp_path))

    assert (status, out) == (2, "")
    assert "holds files already; name a new or empty folder" in err
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_an_export_of_an_unknown_family_makes_no_folder(run: Any, tmp_path: Path) -> None:
    status, _, err = run("export", "--family", "nobody", "--to", str(tmp_path / "new"))

    assert status == 2
    assert "is no family in this database" in err
    assert not (tmp_path / "new").exists()
