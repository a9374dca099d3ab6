"""The FHIR bundle against the R4 (R4B) classes of the fhir.resources library, which hold HL7's own definitions,
and against the rules of FHIR R4 that they do not check: references resolve, full URLs are urns, none twice.
"""

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from fhir.resources.R4B.bundle import Bundle
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.digest.fhir import fhir_bundle
from tests.digest.invented_weeks import MONDAY, facts, lively_facts, name_of, session

URN = re.compile(r"urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def of_kind(bundle: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    return [entry["resource"] for entry in bundle["entry"] if entry["resource"]["resourceType"] == kind]


def references(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        yield from ([value["reference"]] if "reference" in value else [])
        value = list(value.values())
    if isinstance(value, list):
        for each in value:
            yield from references(each)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(1, 1000))
def test_any_week_is_a_valid_r4_bundle_and_comes_back_the_same(seed: int) -> None:
    bundle = fhir_bundle(lively_facts(seed), name_of)
    read = Bundle.model_validate(json.loads(json.dumps(bundle)))

    assert len(read.entry or []) == len(bundle["entry"])
    assert json.loads(read.model_dump_json())["type"] == "collection"


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(1, 1000))
def test_every_reference_points_into_the_bundle_and_no_url_stands_twice(seed: int) -> None:
    bundle = fhir_bundle(lively_facts(seed), name_of)
    urls = [entry["fullUrl"] for entry in bundle["entry"]]

    assert all(URN.fullmatch(url) for url in urls)
    assert len(set(urls)) == len(urls)
    assert set(references(bundle["entry"])) <= set(urls)


def test_the_same_facts_have_the_same_urls_at_each_export() -> None:
    assert fhir_bundle(lively_facts(3), name_of) == fhir_bundle(lively_facts(3), name_of)


def test_a_silent_week_is_absent_data_and_never_a_zero() -> None:
    totals = [o for o in of_kind(fhir_bundle(facts(), name_of), "Observation") if "dataAbsentReason" in o]

    # Five activities and the share of waking time.
    assert len(totals) == 6
    assert not any("valueQuantity" in observation for observation in totals)


def test_each_session_is_an_observation_with_minutes_and_side() -> None:
    told = replace(facts(), sessions=(session("football_hold", 7, side="left", day=1),))
    observation = of_kind(fhir_bundle(told, name_of), "Observation")[0]

    assert observation["valueQuantity"] == {
        "value": 7, "unit": "min", "system": "http://unitsofmeasure.org", "code": "min",
    }  # fmt: skip
    assert observation["bodySite"] == {"text": "left"}
    assert observation["effectiveDateTime"] == "2026-03-03T09:00:00-06:00"


def test_a_session_told_of_the_day_before_bears_its_date_alone() -> None:
    told = replace(session(day=1), date=MONDAY)
    observation = of_kind(fhir_bundle(facts(sessions=(told,)), name_of), "Observation")[0]

    assert observation["effectiveDateTime"] == "2026-03-02"


def test_concerns_are_communications_in_the_carers_words_with_their_urgency() -> None:
    told = lively_facts(4)
    communications = of_kind(fhir_bundle(told, name_of), "Communication")

    assert {c["payload"][0]["contentString"] for c in communications} >= {c.text for c in told.concerns}
    assert [c["priority"] for c in communications if "touch" in c["payload"][0]["contentString"]] == [
        "urgent"
    ]


def test_the_bundle_names_the_baby_by_nickname_alone() -> None:
    patient = of_kind(fhir_bundle(facts(), name_of), "Patient")[0]

    assert patient["name"] == [{"use": "nickname", "text": "Pip"}]
