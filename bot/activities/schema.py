"""What one activity file must hold, checked when it is read.

A file holds the facts that code uses (position, meaning of the side, care moments) and the same text in every
language. Texts may name this baby by four placeholders, and no others:

    {nickname}     the baby's nickname
    {weak_side}    left or right: the side that needs care; "weaker" where both do
    {strong_side}  the other side; "stronger" where both need care
    {side}         the side that the reminder asked for
"""

from __future__ import annotations

import json
from datetime import date
from string import Formatter
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints, model_validator

Moment = Literal["nappy", "dressing", "bath", "play", "carry", "bedtime"]
Position = Literal["prone", "supine", "side_lying", "sitting", "upright", "held"]
SideMeaning = Literal["lies_on", "looks_to", "rolls_to", "arm_moved", "none"]
Skill = Literal["turns_head", "follows_with_eyes", "head_steady_upright"]
ReviewStatus = Literal["needs review by a licensed therapist", "reviewed by a licensed therapist"]

PLACEHOLDERS = frozenset({"nickname", "weak_side", "strong_side", "side"})
SIDES = PLACEHOLDERS - {"nickname"}


def placeholders_of(template: str) -> list[str]:
    """Return the fields of a template in order, with repeats.

    Raises:
        ValueError: a brace is left open, or a field is more than a plain name.
    """
    found = []
    for _, name, spec, conversion in Formatter().parse(template):
        if name is None:
            continue
        if spec or conversion or not name.isidentifier():
            raise ValueError(f"{{{name}}} must be a plain name, one of {_listed(PLACEHOLDERS)}")
        found.append(name)
    return found


def _listed(names: frozenset[str]) -> str:
    return ", ".join(f"{{{name}}}" for name in sorted(names))


def _known_placeholders(template: str) -> str:
    found = placeholders_of(template)
    for name in found:
        if name not in PLACEHOLDERS:
            raise ValueError(f"{{{name}}} is unknown; use {_listed(PLACEHOLDERS)}")
    # A card must fit one message whatever the nickname's length (card.py).
    if found.count("nickname") > 1:
        raise ValueError("{nickname} may stand once in a line")
    return template


def _without_placeholders(text: str) -> str:
    if "{" in text or "}" in text:
        raise ValueError("no placeholder may stand here")
    return text


def _without_sides(template: str) -> str:
    if SIDES & set(placeholders_of(template)):
        raise ValueError("no side may stand here: this line can show on a lock screen")
    return template


_Stripped = StringConstraints(strip_whitespace=True, min_length=1)
Name = Annotated[str, _Stripped, Field(max_length=24), AfterValidator(_without_placeholders)]
Phrase = Annotated[str, _Stripped, Field(max_length=60), AfterValidator(_without_placeholders)]
Line = Annotated[str, _Stripped, Field(max_length=100), AfterValidator(_known_placeholders)]
ShortLine = Annotated[str, _Stripped, Field(max_length=50), AfterValidator(_known_placeholders)]
Sentences = Annotated[str, _Stripped, Field(max_length=160), AfterValidator(_known_placeholders)]
LockScreenSentences = Annotated[Sentences, AfterValidator(_without_sides)]
Source = Annotated[str, _Stripped, Field(max_length=300)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class ActivityText(_Strict):
    """The text of an activity in one language. A line is one sentence or two, at most 100 characters.

    brief: the steps again, in the three lines that a short card has room for.
    """

    name: Name
    in_sentence: Phrase
    purpose: LockScreenSentences
    waits_for: Sentences
    side_means: Sentences
    set_up: tuple[Line, ...] = Field(min_length=1, max_length=3)
    steps: tuple[Line, ...] = Field(min_length=2, max_length=6)
    brief: tuple[ShortLine, ShortLine, ShortLine]
    hands: tuple[Line, ...] = Field(min_length=1, max_length=3)
    watch_for: tuple[Line, ...] = Field(min_length=1, max_length=4)
    mistakes: tuple[Line, ...] = Field(min_length=1, max_length=4)
    stop_signs: tuple[Line, ...] = Field(min_length=2, max_length=6)
    easier: Sentences
    harder: Sentences
    cues: tuple[Line, ...] = Field(min_length=3, max_length=8)

    @model_validator(mode="after")
    def _some_cues_fit_every_baby(self) -> Self:
        if sum(not SIDES & set(placeholders_of(cue)) for cue in self.cues) < 2:
            raise ValueError("cues: at least two must name no side, for a baby with both arms affected")
        return self


class Sources(_Strict):
    """Where each group of facts comes from: a publication, or "common practice, no source"."""

    purpose: Source
    ages: Source
    handling: Source
    stop_signs: Source


class Review(_Strict):
    """changed: when the text last changed. by, on: who reviewed this very text, and when."""

    status: ReviewStatus
    changed: date
    by: Source | None = None
    on: date | None = None

    @model_validator(mode="after")
    def _a_review_names_who_and_when(self) -> Self:
        if self.status.startswith("reviewed"):
            if self.by is None or self.on is None:
                raise ValueError('a text marked "reviewed" must say by whom and on what date')
            if self.on < self.changed:
                raise ValueError("the text has changed since its review: mark it as needing review again")
        return self


class Activity(_Strict):
    """One activity: the facts that code uses, and its text in each language.

    from_weeks: earliest corrected age in whole weeks. skills: what the baby can do before it is tried.
    prone: the baby is on the front, so sleep ends it at once. unnamed_side: what {side} means when a reminder or
    a carer names none. loads_arm: it moves, touches or loads the weak arm, so it is held while that arm may be hurt; held
    where a file does not say. only_if_switched_on: never offered unless the therapist put it in the plan and taught it.
    """

    activity: Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]{1,39}$")]
    from_weeks: int = Field(ge=0, le=104)
    skills: tuple[Skill, ...]
    positions: tuple[Position, ...] = Field(min_length=1)
    prone: bool
    side: SideMeaning
    unnamed_side: Literal["weak", "strong"]
    loads_arm: bool = True
    only_if_switched_on: bool
    moments: tuple[Moment, ...] = Field(min_length=1)
    sources: Sources
    review: Review
    en: ActivityText
    es: ActivityText

    @model_validator(mode="after")
    def _prone_is_a_position(self) -> Self:
        if self.prone != ("prone" in self.positions):
            raise ValueError("prone must be true exactly where positions holds prone")
        return self

    def text(self, language: str) -> ActivityText:
        """Return the text in a language, English where the language is none of ours."""
        return self.es if language.startswith("es") else self.en


def json_schema() -> str:
    """Return the schema that activity.schema.json publishes, for editors and other tools (JSON Schema 2020-12)."""
    schema = {"$schema": "https://json-schema.org/draft/2020-12/schema"} | Activity.model_json_schema()
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
