"""The week as an HL7 FHIR R4 bundle (type collection), as plain JSON values.

Patient by nickname and id alone; the plan as a CarePlan; each session, count and share as an Observation; concerns,
questions and unread texts as Communications in the carers' own words; confidence ratings as QuestionnaireResponses.
What is not known is an Observation with a dataAbsentReason, never a value of 0. Activities are told by text, since
no code system names them.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from bot.concerns.finding import Urgency
from bot.digest.clinic import toronto_tenths
from bot.digest.facts import (
    ConcernFact,
    ConfidenceFact,
    Due,
    FamilyFacts,
    QuestionFact,
    SessionFact,
    UnreadFact,
)
from bot.digest.figures import FamilyDigest, ObservationCount, number
from bot.digest.movements import movement_name
from bot.digest.week import digest_of
from bot.digest.wording import NameOf

NAMESPACE = uuid.UUID("5f0c3d0e-3a52-5b0e-9a6b-6d8c1f9c7c11")
"""Makes the same urn for the same fact at each export."""

UCUM = "http://unitsofmeasure.org"
IDENTIFIERS = "urn:underwing:family"
PRIORITIES: dict[Urgency, str] = {"act_now": "stat", "same_day": "urgent", "tell_therapist": "routine"}
"""Urgency as FHIR request priority."""

SCALES = {"ams": "Active Movement Scale", "toronto": "Toronto test score"}

Resource = dict[str, Any]


def fhir_bundle(facts: FamilyFacts, name_of: NameOf) -> Resource:
    """Return the bundle of one family's period; name_of gives activity names in the reader's language."""
    digest = digest_of(facts)
    patient = _urn(facts.family, "patient")
    zone = ZoneInfo(facts.time_zone)
    resources = [
        (patient, _patient(facts)),
        *_care_plan(facts, patient, name_of),
        *_sessions(digest, patient, zone, name_of),
        *_totals(digest, patient, name_of),
        *_grades(facts, patient),
        *_communications(digest, patient, zone),
        *_confidence(facts, patient, zone, name_of),
    ]
    return {
        "resourceType": "Bundle",
        "type": "collection",
        "timestamp": _time(facts.as_of, zone),
        "entry": [{"fullUrl": urn, "resource": resource} for urn, resource in resources],
    }


def _urn(*parts: object) -> str:
    return uuid.uuid5(NAMESPACE, "/".join(str(part) for part in parts)).urn


def _time(at: datetime, zone: ZoneInfo) -> str:
    return at.astimezone(zone).isoformat(timespec="seconds")


def _minutes(value: float) -> Resource:
    return {"value": number(value), "unit": "min", "system": UCUM, "code": "min"}


def _patient(facts: FamilyFacts) -> Resource:
    return {
        "resourceType": "Patient",
        "identifier": [{"system": IDENTIFIERS, "value": facts.family}],
        "name": [{"use": "nickname", "text": facts.nickname}],
        "birthDate": facts.born.isoformat(),
    }


def _care_plan(facts: FamilyFacts, patient: str, name_of: NameOf) -> Iterator[tuple[str, Resource]]:
    """Yield the plan as it stood on the last day that had one."""
    planned = next((day for day in reversed(facts.days) if day.due), None)
    if planned is None:
        return
    yield (
        _urn(facts.family, "plan", planned.date),
        {
            "resourceType": "CarePlan",
            "status": "active",
            "intent": "plan",
            "subject": {"reference": patient},
            "period": {"start": facts.from_.isoformat(), "end": facts.to.isoformat()},
            "activity": [{"detail": _planned(due, name_of)} for due in planned.due],
        },
    )


def _planned(due: Due, name_of: NameOf) -> Resource:
    planned: Resource = {
        "status": "in-progress",
        "code": {"text": name_of(due.activity)},
        "description": due.activity,
    }
    if due.minutes is not None:
        planned["dailyAmount"] = _minutes(due.minutes)
    elif due.times is not None:
        planned["scheduledTiming"] = {"repeat": {"frequency": due.times, "period": 1, "periodUnit": "d"}}
    return planned


def _category(code: str) -> Resource:
    system = "http://terminology.hl7.org/CodeSystem/observation-category"
    return {"coding": [{"system": system, "code": code}]}


def _observation(patient: str, text: str, **fields: Any) -> Resource:
    return {
        "resourceType": "Observation",
        "status": "final",
        "category": [_category("activity")],
        "code": {"text": text},
        "subject": {"reference": patient},
        **fields,
    }


def _unknown() -> Resource:
    system = "http://terminology.hl7.org/CodeSystem/data-absent-reason"
    return {"coding": [{"system": system, "code": "unknown"}]}


def _sessions(
    digest: FamilyDigest, patient: str, zone: ZoneInfo, name_of: NameOf
) -> Iterator[tuple[str, Resource]]:
    for figures in digest.activities:
        for entry in figures.entries:
            yield (
                _urn(digest.family, "entry", entry.id),
                _observation(
                    patient,
                    name_of(entry.activity),
                    effectiveDateTime=_session_time(entry, zone),
                    issued=_time(entry.at, zone),
                    performer=[{"display": entry.carer}],
                    **({"bodySite": {"text": entry.side}} if entry.side else {}),
                    **(
                        {"dataAbsentReason": _unknown()}
                        if entry.minutes is None
                        else {"valueQuantity": _minutes(entry.minutes)}
                    ),
                ),
            )


def _session_time(entry: SessionFact, zone: ZoneInfo) -> str:
    """Return when it was done: the instant where that lies on its date, else the bare date ("yesterday")."""
    local = entry.at.astimezone(zone)
    return _time(entry.at, zone) if local.date() == entry.date else entry.date.isoformat()


def _totals(digest: FamilyDigest, patient: str, name_of: NameOf) -> Iterator[tuple[str, Resource]]:
    period = {"start": digest.from_.isoformat(), "end": digest.to.isoformat()}
    for figures in digest.activities:
        yield (
            _urn(digest.family, "total", digest.from_, digest.to, figures.activity),
            _observation(
                patient,
                f"{name_of(figures.activity)}, total",
                effectivePeriod=period,
                **(
                    {"dataAbsentReason": _unknown()}
                    if figures.minutes is None
                    else {"valueQuantity": _minutes(figures.minutes)}
                ),
            ),
        )
    share = digest.prone.share
    percent = {"value": round(100 * (share or 0.0), 2), "unit": "%", "system": UCUM, "code": "%"}
    yield (
        _urn(digest.family, "prone", digest.from_, digest.to),
        _observation(
            patient,
            "Share of waking time on the tummy",
            effectivePeriod=period,
            **({"dataAbsentReason": _unknown()} if share is None else {"valueQuantity": percent}),
        ),
    )
    yield (
        _urn(digest.family, "silent", digest.from_, digest.to),
        _observation(
            patient, "Days without word", effectivePeriod=period, valueInteger=digest.days_without_word
        ),
    )
    for seen in digest.observations:
        yield (
            _urn(digest.family, "seen", digest.from_, digest.to, seen.kind, seen.side),
            _seen(seen, patient, period),
        )


def _grades(facts: FamilyFacts, patient: str) -> Iterator[tuple[str, Resource]]:
    """Yield the therapist's own grades: one Observation of an examination each, a component a movement."""
    for grade in facts.grades:
        observed = _observation(
            patient,
            SCALES[grade.scale],
            effectiveDateTime=grade.on.isoformat(),
            performer=[{"display": grade.entered_by}],
            component=[
                {"code": {"text": movement_name(movement, "en")}, "valueInteger": value}
                for movement, value in grade.grades.items()
            ],
        )
        observed["category"] = [_category("exam")]
        if grade.scale == "toronto":
            score = toronto_tenths(grade.grades) / 10
            observed["valueQuantity"] = {"value": score, "unit": "of 10", "system": UCUM, "code": "{score}"}
            observed["note"] = [
                {"text": "Score by a table from memory; to be confirmed by the clinic before use."}
            ]
        yield _urn(facts.family, "grade", grade.id, grade.on), observed


def _seen(seen: ObservationCount, patient: str, period: Resource) -> Resource:
    return _observation(
        patient,
        f"Seen by carers: {seen.kind.replace('_', ' ')}",
        effectivePeriod=period,
        **({"bodySite": {"text": seen.side}} if seen.side else {}),
        **({"dataAbsentReason": _unknown()} if seen.count is None else {"valueInteger": seen.count}),
    )


def _communications(digest: FamilyDigest, patient: str, zone: ZoneInfo) -> Iterator[tuple[str, Resource]]:
    told: list[tuple[str, ConcernFact | QuestionFact | UnreadFact, str]] = [
        *(("concern", fact, PRIORITIES[fact.urgency]) for fact in digest.concerns),
        *(("question", fact, "routine") for fact in digest.questions),
        *(("unread", fact, "routine") for fact in digest.unread),
    ]
    for place, (kind, fact, priority) in enumerate(told):
        yield (
            _urn(digest.family, kind, fact.at.isoformat(), place),
            {
                "resourceType": "Communication",
                "status": "completed",
                "category": [{"text": kind}],
                "priority": priority,
                "subject": {"reference": patient},
                "sent": _time(fact.at, zone),
                "sender": {"display": fact.carer},
                "payload": [{"contentString": fact.text}],
            },
        )


def _confidence(
    facts: FamilyFacts, patient: str, zone: ZoneInfo, name_of: NameOf
) -> Iterator[tuple[str, Resource]]:
    for place, rating in enumerate(facts.confidence):
        yield (
            _urn(facts.family, "confidence", rating.at.isoformat(), place),
            {
                "resourceType": "QuestionnaireResponse",
                "status": "completed",
                "subject": {"reference": patient},
                "authored": _time(rating.at, zone),
                "source": {"display": rating.carer},
                "item": [_rating(rating, name_of)],
            },
        )


def _rating(rating: ConfidenceFact, name_of: NameOf) -> Resource:
    return {
        "linkId": f"confidence-{rating.activity}",
        "text": f"How sure do you feel, 0 to 10: {name_of(rating.activity)}",
        "answer": [{"valueDecimal": number(rating.value)}],
    }
