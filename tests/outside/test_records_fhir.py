"""From the records to FHIR: the bundle that the command writes, against HL7's R4B definitions in fhir.resources."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest
from fhir.resources.R4B.bundle import Bundle

from bot.commands import main
from tests.commands.made_week import make_week


def test_the_bundle_written_from_the_records_is_valid_and_holds_what_was_told_and_entered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, value in make_week(tmp_path).items():
        monkeypatch.setenv(name, value)
    file = tmp_path / "week.json"
    arguments = ["underwing", "digest", "--family", "f1", "--week", "2026-W10", "--fhir", str(file)]
    monkeypatch.setattr(sys, "argv", arguments)
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code in (0, None)
    written = json.loads(file.read_text(encoding="utf-8"))
    read = Bundle.model_validate(written)
    resources = [entry["resource"] for entry in written["entry"]]
    observations = [r for r in resources if r["resourceType"] == "Observation"]
    exam = [o for o in observations if o["category"][0]["coding"][0]["code"] == "exam"]

    assert len(read.entry or []) == len(resources)
    assert [{c["code"]["text"]: c["valueInteger"] for c in o["component"]} for o in exam] == [
        {"elbow flexion": 4, "shoulder abduction": 3}
    ]
    minutes = [
        o["valueQuantity"]["value"] for o in observations if "effectiveDateTime" in o and "valueQuantity" in o
    ]
    assert sorted(minutes) == [5, 8, 10, 12]
    # The session whose length nobody told is absent data, not a zero.
    assert sum("dataAbsentReason" in o and "effectiveDateTime" in o for o in observations) == 1
    said = [r["payload"][0]["contentString"] for r in resources if r["resourceType"] == "Communication"]
    assert said == ["she looks to one side a lot", "¿con ropa?", "mumble mumble"]
