"""The week as an HL7 FHIR R4 bundle (type collection), as plain JSON values.

Patient by nickname and id alone; the plan as a CarePlan; each session, count and share as an Observation; concerns,
questions and unread texts as Communications in the carers' own words; confidence ratings as QuestionnaireResponses.
What is not known is an Observation with a dataAbsentReason, never a value of 0. Activities are told by text, since
no code system names them.
"""

from __future__ import annotations

from collections.abc import Iterator
from zoneinfo import ZoneInfo

from bot.concerns.finding import Urgency
from bot.digest.activity_figures import ActivityFigures, number
from bot.digest.clinic import toronto_tenths
from bot.digest.due import Due
from bot.digest.facts import (
    ConcernFact,
    ConfidenceFact,
    FamilyFacts,
    QuestionFact,
    SessionFact,
    UnreadFact,
)
from bot.digest.fhir_parts import (
    UCUM,
    Resource,
    category,
    in_minutes,
    in_times,
    local_time,
    not_known,
    observation_of,
    urn_of,
)
from bot.digest.figures import FamilyDigest, ObservationCount
from bot.digest.movements import movement_name
from bot.digest.week import digest_of
from bot.digest.wording import NameOf

IDENTIFIERS = "urn:underwing:family"
PRIORITIES: dict[Urgency, str] = {"act_now": "stat", "same_day": "urgent", "tell_therapist": "routine"}
"""Urgency as FHIR request priority."""

SCALES = {"ams": "Active Movement Scale", "toronto": "Toronto test score"}


def fhir_bundle(facts: FamilyFacts, name_of: NameOf) -> Resource:
    """Return the bundle of one family's period; name_of gives activity names in the reader's language."""
    digest = digest_of(facts)
    patient = urn_of(facts.family, "patient")
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
        "timestamp": local_time(facts.as_of, zone),
        "entry": [{"fullUrl": urn, "resource": resource} for urn, resource in resources],
    }


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
        urn_of(facts.family, "plan", planned.date),
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
        planned["dailyAmount"] = in_minutes(due.minutes)
    elif due.times is not None:
        planned["scheduledTiming"] = {"repeat": {"frequency": due.times, "period": 1, "periodUnit": "d"}}
    return planned


def _sessions(
    digest: FamilyDigest, patient: str, zone: ZoneInfo, name_of: NameOf
) -> Iterator[tuple[str, Resource]]:
    for figures in digest.activities:
        for entry in figures.entries:
            yield (
                urn_of(digest.family, "entry", entry.id),
                observation_of(
                    patient,
                    name_of(entry.activity),
                    effectiveDateTime=_session_time(entry, zone),
                    issued=local_time(entry.at, zone),
                    performer=[{"display": entry.carer}],
                    **({"bodySite": {"text": entry.side}} if entry.side else {}),
                    **_session_value(entry, figures),
                ),
            )


def _session_value(entry: SessionFact, figures: ActivityFigures) -> Resource:
    """Return the minutes; one time where the plan counts times and nobody said how long; else that it is not known."""
    if entry.minutes is not None:
        return {"valueQuantity": in_minutes(entry.minutes)}
    return {"valueQuantity": in_times(1)} if figures.counts_times else {"dataAbsentReason": not_known()}


def _total_value(figures: ActivityFigures) -> Resource:
    if figures.counts_times and figures.sessions is not None:
        return {"valueQuantity": in_times(figures.sessions)}
    if figures.minutes is None or figures.counts_times:
        return {"dataAbsentReason": not_known()}
    return {"valueQuantity": in_minutes(figures.minutes)}


def _goal_totals(digest: FamilyDigest, patient: str, period: Resource) -> Iterator[tuple[str, Resource]]:
    for goal in digest.goals:
        done = goal.done
        amount = None if done is None else in_times(round(done)) if goal.times else in_minutes(done)
        value = {"dataAbsentReason": not_known()} if amount is None else {"valueQuantity": amount}
        yield (
            urn_of(digest.family, "goal", digest.from_, digest.to, goal.goal, goal.times),
            observation_of(patient, f"{goal.goal}, total of the goal", effectivePeriod=period, **value),
        )


def _session_time(entry: SessionFact, zone: ZoneInfo) -> str:
    """Return when it was done: the instant where that lies on its date, else the bare date ("yesterday")."""
    local = entry.at.astimezone(zone)
    return local_time(entry.at, zone) if local.date() == entry.date else entry.date.isoformat()


def _totals(digest: FamilyDigest, patient: str, name_of: NameOf) -> Iterator[tuple[str, Resource]]:
    period = {"start": digest.from_.isoformat(), "end": digest.to.isoformat()}
    for figures in digest.activities:
        yield (
            urn_of(digest.family, "total", digest.from_, digest.to, figures.activity),
            observation_of(
                patient,
                f"{name_of(figures.activity)}, total",
                effectivePeriod=period,
                **_total_value(figures),
            ),
        )
    yield from _goal_totals(digest, patient, period)
    share = digest.prone.share
    percent = {"value": round(100 * (share or 0.0), 2), "unit": "%", "system": UCUM, "code": "%"}
    yield (
        urn_of(digest.family, "prone", digest.from_, digest.to),
        observation_of(
            patient,
            "Share of waking time on the tummy",
            effectivePeriod=period,
            **({"dataAbsentReason": not_known()} if share is None else {"valueQuantity": percent}),
        ),
    )
    yield (
        urn_of(digest.family, "silent", digest.from_, digest.to),
        observation_of(
            patient, "Days without word", effectivePeriod=period, valueInteger=digest.days_without_word
        ),
    )
    for seen in digest.observations:
        yield (
            urn_of(digest.family, "seen", digest.from_, digest.to, seen.kind, seen.side),
            _seen(seen, patient, period),
        )


def _grades(facts: FamilyFacts, patient: str) -> Iterator[tuple[str, Resource]]:
    """Yield the therapist's own grades: one Observation of an examination each, a component a movement."""
    for grade in facts.grades:
        observed = observation_of(
            patient,
            SCALES[grade.scale],
            effectiveDateTime=grade.on.isoformat(),
            performer=[{"display": grade.entered_by}],
            component=[
                {"code": {"text": movement_name(movement, "en")}, "valueInteger": value}
                for movement, value in grade.grades.items()
            ],
        )
        observed["category"] = [category("exam")]
        if grade.scale == "toronto":
            score = toronto_tenths(grade.grades) / 10
            observed["valueQuantity"] = {"value": score, "unit": "of 10", "system": UCUM, "code": "{score}"}
            observed["note"] = [
                {"text": "Score by a table from memory; to be confirmed by the clinic before use."}
            ]
        yield urn_of(facts.family, "grade", grade.id, grade.on), observed


def _seen(seen: ObservationCount, patient: str, period: Resource) -> Resource:
    return observation_of(
        patient,
        f"Seen by carers: {seen.kind.replace('_', ' ')}",
        effectivePeriod=period,
        **({"bodySite": {"text": seen.side}} if seen.side else {}),
        **({"dataAbsentReason": not_known()} if seen.count is None else {"valueInteger": seen.count}),
    )


def _communications(digest: FamilyDigest, patient: str, zone: ZoneInfo) -> Iterator[tuple[str, Resource]]:
    told: list[tuple[str, ConcernFact | QuestionFact | UnreadFact, str]] = [
        *(("concern", fact, PRIORITIES[fact.urgency]) for fact in digest.concerns),
        *(("question", fact, "routine") for fact in digest.questions),
        *(("unread", fact, "routine") for fact in digest.unread),
    ]
    for place, (kind, fact, priority) in enumerate(told):
        yield (
            urn_of(digest.family, kind, fact.at.isoformat(), place),
            {
                "resourceType": "Communication",
                "status": "completed",
                "category": [{"text": kind}],
                "priority": priority,
                "subject": {"reference": patient},
                "sent": local_time(fact.at, zone),
                "sender": {"display": fact.carer},
                "payload": [{"contentString": fact.text}],
            },
        )


def _confidence(
    facts: FamilyFacts, patient: str, zone: ZoneInfo, name_of: NameOf
) -> Iterator[tuple[str, Resource]]:
    for place, rating in enumerate(facts.confidence):
        yield (
            urn_of(facts.family, "confidence", rating.at.isoformat(), place),
            {
                "resourceType": "QuestionnaireResponse",
                "status": "completed",
                "subject": {"reference": patient},
                "authored": local_time(rating.at, zone),
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
