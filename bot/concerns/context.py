"""What the words around a sign say of it: denied, only imagined, long past, or someone else's.

After NegEx (Chapman et al. 2001, J Biomed Inform 34:301-310): a trigger reaches forward over a stretch of text
until something ends it. There a scope runs to the end of the sentence; here it runs only over words that are known
to carry it ("no sign of any …"), because carers leave out full stops, and a missed sign costs more than a false one.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from bot.concerns.denial import Denial
from bot.concerns.standing import Match, Standing, compile_all

_REACH = 12  # words before a sign that are looked at, where a sentence has no end


@dataclass(frozen=True)
class Context:
    """The triggers, compiled. expression: gives the regular expression of "@set|word"."""

    expression: Callable[[str], str]

    def prepared(self) -> Context:
        """Return the same with every trigger compiled, so that a missing word set is known at once."""
        compile_all(self)
        return self

    @cached_property
    def denial(self) -> Denial:
        return Denial(self.expression).prepared()

    def standing(self, code: str, match: Match, *, urgent: bool, carer: bool) -> Standing:
        """Return how a sign stands.

        Args:
            code: the encoded message.
            urgent: an act_now sign, which only its own plain denial takes away.
            carer: a sign of the carer, so that "I" is no other person.
        """
        denial = self.denial.of(code, match, urgent=urgent)
        if denial is not None:
            return denial
        begin = max(code.rfind(".", 0, match.start), code.rfind("?", 0, match.start)) + 1
        if self._imagined(code, begin, match, urgent=urgent):
            return Standing.IMAGINED
        if self._past(code, begin, match):
            return Standing.PAST
        if self._others(code, begin, match, carer=carer):
            return Standing.OTHERS
        return Standing.STANDS

    def broken_off(self, code: str, start: int, end: int, match: Match) -> bool:
        """Whether a "but" stands between the match and the rest of [start, end), so that the rest says nothing of it."""
        breaks = self._but
        return bool(
            breaks.search(code, start, max(start, match.start))
            or breaks.search(code, min(match.end, end), end)
        )

    @cached_property
    def _but(self) -> re.Pattern[str]:
        return re.compile(self.expression("@but"))

    # Explained

    @cached_property
    def _calm(self) -> re.Pattern[str]:
        return re.compile(self.expression("@calm_context"))

    def explains(self, code: str) -> bool:
        """Whether a message has words that explain a sign in it: seen to, somebody else's, a thing's, denied, a way of speaking."""
        return self._calm.search(code) is not None

    # Imagined

    @cached_property
    def _imagining(self) -> re.Pattern[str]:
        return re.compile(f"(?:{self.expression('@imagine')})")

    @cached_property
    def _if(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(f"(?<!{e('@wondering')})(?:{e('@if')})")

    @cached_property
    def _happening_now(self) -> re.Pattern[str]:
        """ "If she is …", "what if it's …": the state itself is before the writer's eyes."""
        e = self.expression
        return re.compile(
            f"{e('@if')}(?:{e('@is_now')}|{e('@she|@part|@my')}{{1,3}}{e('@is_now')})(?!{e('@ever')})"
        )

    @cached_property
    def _told_if(self) -> re.Pattern[str]:
        return re.compile(self.expression("@told_if"))

    @cached_property
    def _breaks_off(self) -> re.Pattern[str]:
        return re.compile(self.expression("@breaks_off"))

    @cached_property
    def _imagined_after(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(f"[^.?]{{0,3}}{e('@imagined_after')}")

    def _imagined(self, code: str, begin: int, match: Match, *, urgent: bool) -> bool:
        begin = max(begin, match.start - _REACH)
        for found in self._imagining.finditer(code, begin, match.start):
            if not self._breaks_off.search(code, found.end(), match.start):
                return True
        for found in self._if.finditer(code, begin, match.start):
            if self._breaks_off.search(code, found.end(), match.start):
                continue
            told = self._told_if.search(code, max(0, found.start() - 4), found.end())
            if told or not (urgent and self._happening_now.match(code, found.start(), match.end)):
                return True
        return bool(self._imagined_after.match(code, match.end))

    # Past

    @cached_property
    def _long_ago(self) -> re.Pattern[str]:
        return re.compile(self.expression("@long_ago"))

    @cached_property
    def _ever_since(self) -> re.Pattern[str]:
        return re.compile(self.expression("@ever_since|@again"))

    def _past(self, code: str, begin: int, match: Match) -> bool:
        """A past that has ended: a word such as "now", "again" or "since" in the same stretch brings it back."""
        before = max(begin, match.start - _REACH)
        after = re.compile(r"[.?]").search(code, match.end)
        limit = min(after.start() if after else len(code), match.end + 6)
        for low, high in ((before, match.start), (match.end, limit)):
            for found in self._long_ago.finditer(code, low, high):
                if self._breaks_off.search(
                    code, min(found.end(), match.end), max(found.start(), match.start)
                ):
                    continue
                if self._compared.search(code, max(0, found.start() - 4), found.start()):
                    continue
                if not self._ever_since.search(code, max(0, found.start() - 2), limit):
                    return True
        return False

    @cached_property
    def _compared(self) -> re.Pattern[str]:
        """ "Stiffer than last month": the past is only what now is measured by."""
        return re.compile(self.expression("@than"))

    # Someone else's

    @cached_property
    def _other(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(
            f"(?<!{e('@with')})(?<!{e('@with')}{e('@my|@her')})(?:{e('@other')})(?:{e('@baby_noun')})?"
            f"(?:{e('of|de|del')}{e('@my|@her')}?(?:{e('@other')}))?"
        )

    @cached_property
    def _speaks_of_baby(self) -> re.Pattern[str]:
        return re.compile(self.expression("@she|@baby_noun|@report|@her"))

    @cached_property
    def _named_and_le(self) -> re.Pattern[str]:
        """ "Al gato le …": Spanish says again with "le" whom the sentence has just named."""
        e = self.expression
        return re.compile(
            f"{e('a|al')}{e('la|el|lo|los|las|mi|mis|su|sus')}?(?:{e('@other')})"
            f"{e('no|ya|ni|se|tambien|casi')}{{0,2}}{e('le|les')}"
        )

    @cached_property
    def _names_baby(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(f"(?!{e('le|les|la|lo|el')})(?:{e('@she|@baby_noun|@her')})")

    def _of_another_named(self, code: str, begin: int, match: Match) -> bool:
        low, high = max(begin, match.start - 9), min(match.start + 2, len(code))
        found = None
        for found in self._named_and_le.finditer(code, low, high):  # noqa: B007
            pass
        return found is not None and not self._names_baby.search(code, found.end(), match.end)

    @cached_property
    def _myself_after(self) -> re.Pattern[str]:
        """ "A temperature of 39 myself", right behind it: "39.2, took it myself" is the baby's."""
        e = self.expression
        alone = f"(?:{e('yo|a_mi')})(?=[.,?]|\\Z)"
        return re.compile(f"{e('myself|yo_mismo|yo_misma')}|{alone}")

    @cached_property
    def _not_ours(self) -> re.Pattern[str]:
        return re.compile(f",?{self.expression('@not_ours')}")

    @cached_property
    def _carer_itself(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(f"(?<!{e('la|lo|le')})(?:{e('@i_state')}){e('@carry|@i_carry')}{{0,5}}\\Z")

    @cached_property
    def _own_body(self) -> re.Pattern[str]:
        """ "My hand is …": of the one who writes."""
        e = self.expression
        return re.compile(f"(?<!{e('@toward')}){e('my|mi|mis')}{e('@own_part')}{e('@carry')}{{0,3}}\\Z")

    @cached_property
    def _mine(self) -> re.Pattern[str]:
        e = self.expression
        return re.compile(f"(?<!{e('@toward')}){e('my|mi|mis')}{e('@own_part')}")

    def _of_own_body(self, code: str, begin: int, match: Match) -> bool:
        before = max(begin, match.start - 6)
        if self._own_body.search(code, before, match.start):
            return True
        return bool(self._mine.match(code, max(begin, match.start - 1)) and before < match.start)

    def _others(self, code: str, begin: int, match: Match, *, carer: bool) -> bool:
        if carer:
            return bool(self._other_feels.search(code, max(begin, match.start - 5), match.start))
        if self._of_another_named(code, begin, match) or self._not_ours.match(code, match.end):
            return True
        if self._speaks_of_baby_inside(code, match):
            return False
        if self._carer_itself.search(code, max(begin, match.start - 7), match.start):
            return True
        if self._of_own_body(code, begin, match) or self._myself_after.match(code, match.end):
            return True
        last = None
        for last in self._other.finditer(code, max(begin, match.start - 9), match.start):  # noqa: B007
            pass
        if last is None:
            return False
        low, high = min(last.end(), match.start), match.start
        return not (
            self._speaks_of_baby.search(code, last.end(), max(high, last.end()))
            or self._breaks_off.search(code, low, high)
        )

    @cached_property
    def _other_feels(self) -> re.Pattern[str]:
        """ "My husband is …": a carer's sign of someone who is not writing."""
        e = self.expression
        return re.compile(f"(?:{e('@other')})(?:{e('@be|@very')}){{1,3}}\\Z")

    @cached_property
    def _baby_inside(self) -> re.Pattern[str]:
        """Words for the baby; the article of "se cayó de la cama" and "se golpeó la cabeza" is none."""
        e = self.expression
        article = f"(?!{e('el|la|lo')}{e('@own_part')})(?<!{e('de|en|con|sobre|contra|desde|por')})"
        return re.compile(f"{article}{e('@she|@baby_noun')}|{e('@her')}")

    def _speaks_of_baby_inside(self, code: str, match: Match) -> bool:
        return bool(
            self._baby_inside.search(code, match.start, match.end)
            or self._acted_on.search(code, match.end, _clause_end(code, match.end, match.end + 2))
        )

    @cached_property
    def _acted_on(self) -> re.Pattern[str]:
        return re.compile(self.expression("@object"))


def _clause_end(code: str, start: int, end: int) -> int:
    """Return the place of the first mark in [start, end), or end."""
    return next((place for place in range(start, min(end, len(code))) if code[place] in ".,?"), end)
