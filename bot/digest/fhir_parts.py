"""What FHIR resources of the digest are made of: names, quantities, an Observation's frame."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from bot.digest.activity_figures import number

NAMESPACE = uuid.UUID("5f0c3d0e-3a52-5b0e-9a6b-6d8c1f9c7c11")
"""Makes the same urn for the same fact at each export."""

UCUM = "http://unitsofmeasure.org"

Resource = dict[str, Any]


def urn_of(*parts: object) -> str:
    return uuid.uuid5(NAMESPACE, "/".join(str(part) for part in parts)).urn


def local_time(at: datetime, zone: ZoneInfo) -> str:
    return at.astimezone(zone).isoformat(timespec="seconds")


def in_minutes(value: float) -> Resource:
    return {"value": number(value), "unit": "min", "system": UCUM, "code": "min"}


def in_times(value: int) -> Resource:
    return {"value": value, "unit": "times", "system": UCUM, "code": "{times}"}


def category(code: str) -> Resource:
    system = "http://terminology.hl7.org/CodeSystem/observation-category"
    return {"coding": [{"system": system, "code": code}]}


def observation_of(patient: str, text: str, **fields: Any) -> Resource:
    return {
        "resourceType": "Observation",
        "status": "final",
        "category": [category("activity")],
        "code": {"text": text},
        "subject": {"reference": patient},
        **fields,
    }


def not_known() -> Resource:
    system = "http://terminology.hl7.org/CodeSystem/data-absent-reason"
    return {"coding": [{"system": system, "code": "unknown"}]}
