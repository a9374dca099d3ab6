"""Figures turned into the therapist's words: numbers, dates, reasons and suggestions, as plain text."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, tzinfo
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_datetime, format_time
from babel.numbers import format_decimal, format_percent

from bot.activities.library import Library
from bot.concerns.finding import Urgency
from bot.digest.facts import NoteFact
from bot.digest.figures import FamilyDigest, ObservationCount
from bot.digest.plan_changes import PlanChange
from bot.digest.ranking import Reason
from bot.digest.suggestions import Suggestion
from bot.phrases import Language, Words
from bot.replies.reading import ObservationKind
from scheduling.sides import Side

NameOf = Callable[[str], str]
"""The display name of an activity id, in the reader's language."""


def names_in(library: Library, language: Language) -> NameOf:
    return lambda activity: library.name(activity, language)


SHARES = frozenset({"share", "wanted"})
"""Figures of reasons and suggestions that are parts of a whole."""


@dataclass(frozen=True, slots=True)
class Wording:
    """How one reader is told of one family's figures. zone: the family's, for every time that is shown."""

    words: Words
    name_of: NameOf
    zone: tzinfo

    def minutes(self, value: float) -> str:
        """Return minutes in all, or how often, as a whole number: what was asked of a part of a day is none by itself."""
        return format_decimal(math.floor(value + 0.5), "#,##0", locale=self.words.locale)

    def figure(self, value: float) -> str:
        """Return a figure as it was told or worked out, to the tenth."""
        return format_decimal(round(value, 1), "#,##0.#", locale=self.words.locale)

    def share(self, value: float) -> str:
        return format_percent(value, "#,##0%", locale=self.words.locale)

    def day(self, day: date) -> str:
        """Return a date as "Mon 2 Mar"."""
        return format_date(day, self.words.plain("format.short_day"), locale=self.words.locale)

    def short_day(self, day: date) -> str:
        """Return a date as "2 Mar"."""
        return format_date(day, self.words.plain("format.day_of_month"), locale=self.words.locale)

    def weekday(self, day: date) -> str:
        return format_date(day, "EEE", locale=self.words.locale)

    def hour(self, hour: int) -> str:
        """Return an hour of the day, 0 to 23, as "5:00 PM", "17:00"."""
        return format_time(time(hour), self.words.plain("format.clock"), locale=self.words.locale)

    def time(self, at: datetime) -> str:
        local = at.astimezone(self.zone)
        return format_datetime(local, self.words.plain("format.moment"), locale=self.words.locale)

    def period(self, digest: FamilyDigest) -> str:
        if digest.from_at and digest.to_at:
            return self.words.plain(
                "digest.period", from_=self.time(digest.from_at), to=self.time(digest.to_at)
            )
        return self.words.plain("digest.period", from_=self.day(digest.from_), to=self.day(digest.to))

    def baby(self, digest: FamilyDigest) -> str:
        """Return age, corrected age where it differs, and the weak side."""
        parts = [self.words.plain("digest.age", n=digest.age_weeks)]
        if digest.corrected_weeks != digest.age_weeks:
            parts.append(self.words.plain("digest.corrected", n=digest.corrected_weeks))
        parts.append(self.words.plain(f"digest.weak_side_{digest.affected_side}"))
        return ", ".join(parts)

    def days(self, digest: FamilyDigest) -> str:
        """Return how many days are known, and what the others were."""
        counts = {
            state: sum(s == state for _, s in digest.days)
            for state in ("silent", "paused", "no_plan", "to_come")
        }
        known = digest.days_with_word
        if not known and counts["silent"] and not (counts["paused"] or counts["to_come"]):
            return self.words.plain("digest.silent_all")
        parts = [self.words.plain("digest.days_known", n=known, days=len(digest.days))]
        parts += [self.words.plain(f"digest.days_{state}", n=n) for state, n in counts.items() if n]
        told = ", ".join(parts)
        return told[0].upper() + told[1:]

    def urgency(self, urgency: Urgency) -> str:
        return self.words.plain(f"digest.urgency_{urgency}")

    def side(self, side: str | None) -> str:
        return self.words.plain(f"digest.side_{side or 'none'}")

    def seen_words(self, kind: ObservationKind, side: Side | None) -> str:
        shown = self.words.plain(f"digest.kind_{kind}")
        return self.words.plain("digest.kind_with_side", kind=shown, side=self.side(side)) if side else shown

    def seen_kind(self, observed: ObservationCount) -> str:
        return self.seen_words(observed.kind, observed.side)

    def observation(self, observed: ObservationCount) -> str:
        """Return "head turned right 5 (3 before)"; the earlier count is left out where it is not known."""
        kind = self.seen_kind(observed)
        count = self.words.plain("digest.unknown") if observed.count is None else observed.count
        if observed.previous is None:
            return self.words.plain("digest.seen_count", kind=kind, count=count)
        return self.words.plain("digest.seen_count_before", kind=kind, count=count, before=observed.previous)

    def reason(self, reason: Reason) -> str:
        shown = self._shown(reason.numbers)
        if (waiting := reason.numbers.get("waiting")) is not None:
            say = self.words.plain
            shown["state"] = say("digest.waiting_some", n=waiting) if waiting else say("digest.waiting_none")
        return self.words.plain(f"digest.reason_{reason.kind}", **shown)

    def suggestion(self, suggestion: Suggestion) -> str:
        shown = self._shown(suggestion.numbers)
        if suggestion.activity:
            shown["activity"] = self.name_of(suggestion.activity)
        return self.words.plain(f"digest.suggest_{suggestion.kind}", **shown)

    def plan_change(self, change: PlanChange) -> str:
        """Return "Tummy time 30 min → 40 min a day"."""
        shown = {
            "activity": self.name_of(change.activity) if change.activity else "",
            "before": self._planned(change.what, change.before),
            "after": self._planned(change.what, change.after),
        }
        return self.words.plain(f"clinic.change_{change.what}", **shown)

    def _planned(self, what: str, value: str | None) -> str:
        if value is None:
            return ""
        if what in ("target", "added"):
            return value if value.endswith("%") else self.words.plain("clinic.change_minutes", n=value)
        if what == "side" and ":" in value:
            return self.words.plain("clinic.side_rule_ratio", ratio=value)
        return self.words.plain(f"clinic.side_rule_{value}") if what == "side" else value

    def note(self, note: NoteFact) -> str:
        match note.kind:
            case "text":
                return note.text
            case "visit_note":
                return self.words.plain("clinic.note_visit_note", text=note.text)
            case "corrected":
                day = self.day(date.fromisoformat(str(note.values["day"])))
                return self.words.plain(
                    "clinic.note_corrected", carer=note.values["carer"], day=day, text=note.text
                )
            case "taught" | "untaught":
                activity = self.name_of(str(note.values["activity"]))
                return self.words.plain(
                    f"clinic.note_{note.kind}", activity=activity, carers=note.values["carers"]
                )
            case "best_hour":
                at = self.hour(int(note.values["hour"]))
                return self.words.plain("clinic.note_best_hour", **{**note.values, "hour": at})
            case "arm_hold":
                return self._arm_hold({name: str(value) for name, value in note.values.items()})
            case "file":
                return self.words.plain(f"clinic.note_{note.values['what']}", **note.values)
            case _:
                return self.words.plain(f"clinic.note_{note.kind}", **note.values)

    def _arm_hold(self, values: dict[str, str]) -> str:
        reason = self.words.plain(f"arm.reason_{values['reason']}")
        begins = self.day(date.fromisoformat(values["from"]))
        if "until" not in values:
            return self.words.plain("arm.line", reason=reason, **{"from": begins})
        until = self.day(date.fromisoformat(values["until"]))
        return self.words.plain("arm.line_until", reason=reason, until=until, **{"from": begins})

    def _shown(self, numbers: dict[str, float | str]) -> dict[str, object]:
        shown: dict[str, object] = {}
        for name, value in numbers.items():
            if isinstance(value, str):
                shown[name] = self.name_of(value) if name == "activity" else self.side(value)
            elif name in SHARES:
                shown[name] = self.share(value)
            # `n` chooses the plural form, so it stays a number.
            else:
                shown[name] = value if name == "n" else self.figure(value)
        return shown


def wording_for(digest: FamilyDigest, words: Words, name_of: NameOf) -> Wording:
    return Wording(words, name_of, ZoneInfo(digest.time_zone))
