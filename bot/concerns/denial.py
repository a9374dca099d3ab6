"""Whether the words around a sign deny it, doubt it, or leave it standing.

After NegEx (Chapman et al. 2001, J Biomed Inform 34:301-310), with a scope that runs only over words known to carry a
denial: see bot/concerns/context.py.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from bot.concerns.standing import Match, Standing, compile_all

_REACH = 12  # words before a sign that are looked at, where a sentence has no end


@dataclass(frozen=True)
class Denial:
    """The triggers of denial, compiled. expression: gives the regular expression of "@set|word"."""

    expression: Callable[[str], str]

    def prepared(self) -> Denial:
        """Return the same with every trigger compiled."""
        compile_all(self)
        return self

    @cached_property
    def _denied_before(self) -> re.Pattern[str]:
        return self._denying(",?")

    @cached_property
    def _denied_right_before(self) -> re.Pattern[str]:
        """Without a comma after the "no": in "I'm good for nothing, better dead" it denies nothing."""
        return self._denying("")

    def _denying(self, between: str) -> re.Pattern[str]:
        e = self.expression
        not_really = f"(?!{e('@question_after_not')})"
        return re.compile(
            f"(?:{e('@neg')}{not_really}|{e('@never')}(?!,?{e('@seen')})|{e('@neg_long')})"
            f"{between}{e('@carry')}{{0,6}}\\Z"
        )

    @cached_property
    def _no(self) -> re.Pattern[str]:
        return re.compile(self.expression("@neg"))

    @cached_property
    def _neither(self) -> re.Pattern[str]:
        return re.compile(self.expression("@neither"))

    def _goes_on_denying(self, code: str, match: Match, place: int) -> bool:
        """Whether a "nor" at a place only goes on with the "not" that the sign begins with: "won't take breast nor bottle"."""
        return bool(self._no.match(code, match.start) and self._neither.match(code, place))

    @cached_property
    def _asked_as_denied(self) -> re.Pattern[str]:
        """ "Isn't she blue?" asks whether she is."""
        e = self.expression
        return re.compile(f"(?:^|[.?,]|{e('@also')}){e('@not_at_start')}{e('@she')}")

    @cached_property
    def _denies_saying(self) -> re.Pattern[str]:
        """ "I can't say she has no fever", "no es que no tenga fiebre"."""
        e = self.expression
        return re.compile(f"{e('@denies_saying')}{e('@that|@she|@carry')}{{0,4}}\\Z")

    @cached_property
    def _without(self) -> re.Pattern[str]:
        return re.compile(self.expression("@lacking"))

    @cached_property
    def _not_any(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(
            f"(?:(?!{e('@lacking')}){e('@neg')}|{e('@never')})(?:(?!{e('@also')})[^.,?]){{0,3}}\\Z"
        )

    def _is_denied_itself(self, code: str, begin: int, place: int) -> bool:
        """Whether the denial at a place is denied: two make a sign that stands ("not a day without vomiting")."""
        if self._denies_saying.search(code, begin, place):
            return True
        return bool(self._without.match(code, place) and self._not_any.search(code, begin, place))

    @cached_property
    def _never_once(self) -> re.Pattern[str]:
        """ "Not once did he go blue", "en ningún momento se puso azul", "nobody hit her"."""
        e = self.expression
        often = f"{e('@never_once')}{e('@did_so')}?{e('@she|@carry')}{{0,4}}"
        return re.compile(f"(?:{often}|{e('@nobody')}{e('@has_done')}{{0,2}})\\Z")

    @cached_property
    def _feared(self) -> re.Pattern[str]:
        return re.compile(f"{self.expression('@feared')}[^.?]{{0,6}}\\Z")

    @cached_property
    def _was_not(self) -> re.Pattern[str]:
        e = self.expression
        turns = f"[^.?]{{0,3}}(?:{e('@but|@turns_out')}|,),?(?:{e('@she')}){{0,2}}"
        said = f"{e('@be_after')}?{e('@neg')}{e('@it_was')}{{0,3}}"
        return re.compile(f"{turns}{said}(?=[.,?]|\\Z)")

    @cached_property
    def _was_only(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(
            f"[^.?]{{0,3}}{e('@but|@turns_out')},?"
            f"(?:{e('@she|@be_after|@it_was')}{{0,3}}{e('@only')}|{e('@she')}?{e('@turned_out_as')})"
        )

    def _feared_alone(self, code: str, begin: int, match: Match) -> Standing | None:
        """ "I was afraid it was a fit but it was not" is denied; "I thought she was blue but it was only the light" is doubted."""
        if not self._feared.search(code, begin, match.start):
            return None
        if self._was_not.match(code, match.end):
            return Standing.DENIED
        return Standing.DOUBTED if self._was_only.match(code, match.end) else None

    @cached_property
    def _yet_to_be(self) -> re.Pattern[str]:
        """ "Must be ruled out for": it has not been yet."""
        return re.compile(self.expression("@yet_to_be"))

    @cached_property
    def _seems(self) -> re.Pattern[str]:
        return re.compile(self.expression("@seems"))

    @cached_property
    def _doubted_before(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(f"(?:{e('@doubt')}){e('@carry|@she|@part|@doubt_carry')}{{0,8}}\\Z")

    @cached_property
    def _softly_denied(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(
            f"{e('@neg_plain')}{e('@carry')}{{0,3}}{e('@soften')}{{1,2}}{e('@carry')}{{0,2}}\\Z"
        )

    @cached_property
    def _list_before(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(f",?{e('@list_word')}{e('@carry')}{{0,3}}\\Z")

    @cached_property
    def _comma_before(self) -> re.Pattern[str]:
        return re.compile(f",{self.expression('@carry')}{{0,3}}\\Z")

    @cached_property
    def _denied_after(self) -> re.Pattern[str]:
        """ "Fever? No", "fever she has not", "convulsiones no ha tenido nunca"."""
        e = self.expression
        inverted = f"{e('@she')}?{e('@has_not')}"
        had = f"{e('@neg')}{e('@has_had')}{e('@never')}?"
        return re.compile(f"[?,]?(?:{e('@no_after')}|{inverted}|{had})(?=[.,?]|\\Z)")

    @cached_property
    def _over_after(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(f",?{e('@be_after')}{{0,3}}{e('@over')}")

    @cached_property
    def _ruled_out_after(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(f",?{e('@be_after')}{{0,3}}{e('@ruled_out')}")

    @cached_property
    def _unlikely_after(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(f",?{e('@be_after')}{{0,3}}{e('@unlikely')}")

    def of(self, code: str, match: Match, *, urgent: bool) -> Standing | None:
        """Return how a sign is denied, or None where it is not."""
        denied_before = self._denied_right_before if urgent else self._denied_before
        for begin, place in ((max(0, match.start - _REACH), match.start), *match.gaps):
            if self._doubted_before.search(code, begin, place) or self._softly_denied.search(
                code, begin, place
            ):
                return Standing.DOUBTED
            found = denied_before.search(code, begin, place)
            if found and place != match.start and self._goes_on_denying(code, match, found.start()):
                continue
            if found and self._is_denied_itself(code, max(0, found.start() - _REACH), found.start()):
                continue
            if found and self._yet_to_be.search(code, max(0, found.start() - 2), place):
                continue
            if found and not self._asked_as_denied.search(code, max(0, found.start() - 1), place):
                return Standing.DOUBTED if self._seems.match(code, place) else Standing.DENIED
        begin = max(0, match.start - _REACH)
        if feared := self._feared_alone(code, begin, match):
            return feared
        if self._never_once.search(code, begin, match.start):
            return Standing.DENIED
        if self._denied_after.match(code, match.end) or self._ruled_out_after.match(code, match.end):
            return Standing.DENIED
        if self._unlikely_after.match(code, match.end):
            return Standing.DOUBTED
        if not urgent and self._over_after.match(code, match.end):
            return Standing.DENIED
        return None

    def continues(
        self, code: str, denied_end: int, match: Match, *, urgent: bool, thing: bool
    ) -> Standing | None:
        """Return how a sign stands that follows a denied one, as in "no fever, rash or vomiting"."""
        if self._list_before.fullmatch(code, denied_end, match.start):
            return Standing.DENIED
        ends = match.end == len(code) or code[match.end] in ".,?" or self._list_word.match(code, match.end)
        if thing and ends and self._comma_before.fullmatch(code, denied_end, match.start):
            return Standing.DOUBTED if urgent else Standing.DENIED
        return None

    @cached_property
    def _list_word(self) -> re.Pattern[str]:
        return re.compile(self.expression("@list_word"))
