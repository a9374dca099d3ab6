"""The data files of signs, as a clinic writes them: checked field by field before anything is compiled."""

from __future__ import annotations

from datetime import date
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from bot.concerns.finding import Urgency

SignUrgency = Literal["act_now", "same_day", "tell_therapist", "hint"]
Subject = Literal["baby", "arm", "carer"]
Advice = Literal[
    "act_now", "same_day", "tell_therapist", "carer_end", "carer_self_harm", "carer_distress", "harm_by_others",
    "unsafe_home", "left_alone", "neglect_food", "found_face_down", "arm_treated", "unwell", "either_now", "either_today",
]  # fmt: skip


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Review(_Strict):
    """Where a rule comes from and who has looked at it."""

    source: str = Field(min_length=3)
    reviewed: date
    sign_off: str = Field(min_length=3)


class AgeRule(_Strict):
    """The urgency of a sign in a baby younger than so many whole weeks since birth."""

    under_weeks: int = Field(gt=0, le=104)
    urgency: Urgency


class Unless(_Strict):
    """A wording that makes what was found no sign.

    words: the wording. excuses: a message that it makes none. raises: one that holds these words, and a sign all the same.
    """

    words: str
    excuses: str = Field(min_length=3)
    raises: str = Field(min_length=3)


class SignEntry(Review):
    """One sign.

    urgency: "hint" raises nothing alone, and counts only in a `together` rule.
    advice: which fixed text of bot/phrases/*/advice.toml answers it; none for a hint. One named as an urgency follows the
        urgency that the sign has here: by the baby's age, or by how the weak arm has been.
    discreet: nothing about it may show where others of the home can read it.
    illness: a pause of the reminders is offered.
    holds_arm: activities that move or load the arm are held until the therapist lets them go on.
    subject: whose sign it is; an "arm" sign is weighed against how the weak arm has been from birth.
    thing: named by a noun ("rash"), so that a list can deny it ("no fever, rash or vomiting").
    not_this: what looks like it and is not, in words, for the reviewer.
    exact: its urgency follows from a table: a message that says hardly anything else is not doubted, however it looks.
    loose: told by concept alone: it raises only where the learned reader agrees.
    loosely: wordings that say something else as often; each raises only where the learned reader agrees. Both languages in one.
    near: wordings of two parts, "@fire ..6 @hand", that may stand in either order; both languages in one.
    unless: wordings that begin, end or lie around it and make it no sign; they reach over no comma and no "but".
    sets: word sets of these wordings alone.
    """

    id: str = Field(pattern=r"^[a-z][a-z_]*$")
    urgency: SignUrgency
    advice: Advice | None = None
    discreet: bool = False
    holds_arm: bool = False
    illness: bool = False
    subject: Subject = "baby"
    thing: bool = False
    exact: bool = False
    loose: bool = False
    not_this: str = ""
    age: tuple[AgeRule, ...] = ()
    en: tuple[str, ...] = ()
    es: tuple[str, ...] = ()
    loosely: tuple[str, ...] = ()
    near: tuple[str, ...] = ()
    unless: tuple[Unless, ...] = ()
    sets: dict[str, tuple[str, ...]] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _advice_where_it_is_raised(self) -> Self:
        if (self.advice is None) != (self.urgency == "hint"):
            raise ValueError(f"the sign {self.id!r} needs advice, unless it is a hint")
        return self


class TogetherEntry(Review):
    """A sign made of others: one of each list must stand in the message."""

    id: str = Field(pattern=r"^[a-z][a-z_]*$")
    urgency: Urgency
    advice: Advice
    holds_arm: bool = False
    illness: bool = False
    all_of: tuple[tuple[str, ...], ...] = Field(min_length=2)


class SignFile(_Strict):
    sign: tuple[SignEntry, ...] = ()
    together: tuple[TogetherEntry, ...] = ()


class LooksLike(_Strict):
    """Wordings that only look like a sign: they are put aside before signs are looked for."""

    id: str = Field(pattern=r"^[a-z][a-z_]*$")
    en: tuple[str, ...] = ()
    es: tuple[str, ...] = ()
    sets: dict[str, tuple[str, ...]] = Field(default_factory=dict)


class NotSignsFile(_Strict):
    looks_like: tuple[LooksLike, ...]


class WordsFile(_Strict):
    """Words that get special care, both languages in one.

    misspelt: long words known through a slip of spelling. ordinary: words that are never a slip of one of those.
    common: everyday words, which say little about a sentence.
    """

    misspelt: tuple[str, ...]
    ordinary: tuple[str, ...]
    common: tuple[str, ...]


class SetsFile(_Strict):
    """Named sets of words and runs of words that any wording may name, both languages in one."""

    sets: dict[str, tuple[str, ...]]


class FeverThreshold(Review):
    """From `at_least` °C, in a baby of `from_weeks` up to but not including `under_weeks`."""

    at_least: float = Field(ge=37, le=42)
    from_weeks: int = Field(ge=0)
    under_weeks: int = Field(gt=0)
    urgency: Urgency


class ColdThreshold(Review):
    """Under `below` °C, in a baby younger than `under_weeks`."""

    below: float = Field(ge=30, le=37)
    under_weeks: int = Field(gt=0)
    urgency: Urgency


class TemperatureFile(_Strict):
    fever: tuple[FeverThreshold, ...] = Field(min_length=1)
    cold: tuple[ColdThreshold, ...] = ()
