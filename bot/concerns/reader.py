"""Reads signs of trouble from one message: a pure function of the text and the baby's age and side."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cache

from bot.concerns.compiling import Rules, Wording, Wordings
from bot.concerns.finding import URGENCIES, Concern, Evidence, Findings, Span, Urgency, merged
from bot.concerns.loading import shipped_rules
from bot.concerns.patterns import Pattern
from bot.concerns.perfect import in_simple_past
from bot.concerns.schema import SignEntry
from bot.concerns.standing import Match, Standing
from bot.concerns.temperature import FEVER_FROM, urgency_of
from bot.concerns.text import COMMA, MARKS, Words, split
from bot.concerns.vocabulary import UNKNOWN

_MOST_MATCHES = 8  # of one wording in one message
_LITTLE = 4  # words
_MOST_BESIDE_EXACT = 4  # words: "her temperature is 39.5" says no more
_UNLESS_REACH = 9  # words on either side of a sign that can make it none


def find_concerns(text: str, *, age_weeks: int, affected_side: str) -> Findings:
    """Return what a carer's message says of trouble. Never fails, whatever the text.

    Args:
        text: the message as it was written, in either language or both.
        age_weeks: weeks since birth (chronological), whole.
        affected_side: left, right or both.
    """
    return shipped_reader().read(text, age_weeks=age_weeks, affected_side=affected_side)


@cache
def shipped_reader() -> Reader:
    """Return the reader with the rules that come with the program."""
    return Reader(shipped_rules())


@dataclass(frozen=True, slots=True)
class _Seen:
    """A sign in the message: where, how it stands, how urgent it is here."""

    id: str
    urgency: Urgency | None
    match: Match
    standing: Standing
    thing: bool = False
    loose: bool = False
    exact: bool = False


class Reader:
    """Reads messages by one set of rules."""

    def __init__(self, rules: Rules) -> None:
        self._rules = rules

    def read(self, text: str, *, age_weeks: int, affected_side: str) -> Findings:
        """Return what the message says of trouble."""
        words = split(text)
        everything = self._all_seen(words, age_weeks, affected_side)
        loose = [sign for sign in everything if sign.loose]
        seen = [sign for sign in everything if not sign.loose]
        raised = {sign.id for sign in seen if sign.standing is Standing.STANDS}
        urgencies = _worst(seen, Standing.STANDS)
        for rule in self._rules.together:
            if all(any(name in raised for name in names) for names in rule.all_of):
                urgencies[rule.id] = rule.urgency
        doubted = {
            name: urgency for name, urgency in _worst(seen, Standing.DOUBTED).items() if name not in raised
        }
        doubted = {name: urgency for name, urgency in doubted.items() if urgency != "tell_therapist"}
        return Findings(
            _concern(urgencies, self._rules),
            _concern(doubted, self._rules),
            _spans(seen, words),
            hinted=_concern(_worst(loose, Standing.STANDS), self._rules),
            seen=_names(everything),
            exact=not doubted and _says_only(seen, urgencies, words),
            explained=self._rules.context.explains(self._rules.vocabulary.encode(words.text)),
        )

    def evidence(self, text: str, *, age_weeks: int, affected_side: str) -> tuple[Evidence, ...]:
        """Return each sign found in a message, with how it stands and the words that it was read from, in their order."""
        words = split(text)
        seen = sorted(self._all_seen(words, age_weeks, affected_side), key=lambda each: each.match.start)
        return tuple(
            Evidence(
                each.id,
                each.urgency,
                each.standing.value,
                text[words.start[each.match.start] : words.end[each.match.end - 1]],
            )
            for each in seen
        )

    def _all_seen(self, words: Words, age_weeks: int, affected_side: str) -> list[_Seen]:
        code = self._put_aside(self._rules.vocabulary.encode(words.text))
        seen = self._signs(code, age_weeks, affected_side, told=code)
        if (past := in_simple_past(code, words.text, self._rules.vocabulary)) != code:
            seen += self._signs(past, age_weeks, affected_side, told=code)
        seen = self._with_temperatures(seen, words, code, age_weeks)
        return self._with_lists(seen, code)

    def _put_aside(self, code: str) -> str:
        """Return the message with the words that only look like a sign made unknown, and polite words made commas."""
        code = self._rules.polite.sub(lambda found: COMMA * len(found.group()), code)
        matches = list(self._found(code, self._rules.looks_like))
        for _, match in matches:
            code = code[: match.start] + _hidden(code[match.start : match.end]) + code[match.end :]
        return code

    def _found(self, code: str, wordings: Wordings) -> list[tuple[Wording, Match]]:
        places = {place for letter in set(code) for place in wordings.by_code.get(letter, ())}
        return [
            (wordings.held[place], match)
            for place in sorted(places)
            for match in _matches(wordings.held[place].pattern, code)
        ]

    def _signs(self, code: str, age_weeks: int, affected_side: str, told: str) -> list[_Seen]:
        """Return the signs in an encoded message. told: the message as it was told, where "code" has another tense."""
        seen: list[_Seen] = []
        for wording, match in self._found(code, self._rules.wordings):
            sign = wording.sign
            if sign is None or self._excused(code, sign, match):
                continue
            name, urgency = sign.id, _urgency(sign, age_weeks)
            if sign.subject == "arm":
                name, urgency = self._rules.weak_arm.weigh(code, match, affected_side)
            standing = self._rules.context.standing(
                told, match, urgent=urgency == "act_now", carer=sign.subject == "carer"
            )
            seen.append(_Seen(name, urgency, match, standing, sign.thing, wording.loose, sign.exact))
        return seen

    def _excused(self, code: str, sign: SignEntry, match: Match) -> bool:
        """Whether one of the sign's "unless" wordings stands around it, in the same sentence, and touches it."""
        patterns = self._rules.unless[sign.id]
        if not patterns:
            return False
        begin = max(
            match.start - _UNLESS_REACH,
            code.rfind(".", 0, match.start) + 1,
            code.rfind("?", 0, match.start) + 1,
        )
        end = min(match.end + _UNLESS_REACH, len(code))
        near = set(code[begin:end])
        for pattern in patterns:
            if near.isdisjoint(pattern.anchor):
                continue
            for found in pattern.regex.finditer(code, begin, end):
                if _about(found.span(), match) and (
                    pattern.spans_but
                    or not self._rules.context.broken_off(code, found.start(), found.end(), match)
                ):
                    return True
        return False

    def _with_temperatures(self, seen: list[_Seen], words: Words, code: str, age_weeks: int) -> list[_Seen]:
        """Add the temperatures in figures; a normal one takes back the word "fever" beside it, and "feels hot"."""
        readings = self._rules.temperatures.readings(words, code)
        if not readings:
            return seen
        standing = {
            reading: self._rules.context.standing(code, reading.match, urgent=True, carer=False)
            for reading in readings
        }
        feverish = [r for r in readings if r.celsius >= FEVER_FROM and standing[r] is not Standing.DENIED]
        kept = seen
        if not feverish:
            kept = [
                _denied(s)
                if s.id == "feels_hot"
                or (s.id == "fever" and any(reading.is_beside(s.match) for reading in readings))
                else s
                for s in seen
            ]
        for reading in readings:
            urgency = urgency_of(reading.celsius, age_weeks, self._rules.thresholds)
            name = "fever" if reading.celsius >= FEVER_FROM else "too_cold"
            how = standing[reading] if urgency else Standing.DENIED
            fevers = [s for s in seen if s.id == "fever" and s.standing is Standing.OTHERS]
            if any(reading.ends(s.match, code) for s in fevers):
                how = Standing.OTHERS
            if reading.doubted and how is Standing.STANDS:
                how = Standing.DOUBTED
            kept = [*kept, _Seen(name, urgency, reading.match, how, exact=True)]
        return kept

    def _with_lists(self, seen: list[_Seen], code: str) -> list[_Seen]:
        """Carry a denial over a list: "no fever, rash or vomiting"."""
        denied_ends = {sign.match.end for sign in seen if sign.standing is Standing.DENIED}
        result: list[_Seen] = []
        for sign in sorted(seen, key=lambda item: item.match.start):
            if sign.standing is Standing.STANDS:
                for end in sorted(denied_ends):
                    how = end <= sign.match.start and self._rules.context.denial.continues(
                        code, end, sign.match, urgent=sign.urgency == "act_now", thing=sign.thing
                    )
                    if how:
                        sign = replace(sign, standing=how)
                        denied_ends.add(sign.match.end)
                        break
            result.append(sign)
        return result


def _says_only(seen: list[_Seen], raised: Collection[str], words: Words) -> bool:
    """Whether signs whose urgency is exact are all that is raised, and nearly all that is said."""
    if not raised or not {sign.id for sign in seen if sign.exact}.issuperset(raised):
        return False
    told = {place for sign in seen for place in range(sign.match.start, sign.match.end)}
    beside = [text for place, text in enumerate(words.text) if place not in told and text not in MARKS]
    return len(beside) <= _MOST_BESIDE_EXACT


def _about(span: tuple[int, int], match: Match) -> bool:
    """Whether an "unless" wording speaks of a match: it begins or ends in it, or has little more than the match."""
    start, end = span
    begins, stops = match.start <= start < match.end, match.start < end <= match.end
    return (
        begins
        or stops
        or (start <= match.start and match.end <= end <= start + match.end - match.start + _LITTLE)
    )


def _hidden(codes: str) -> str:
    return "".join(code if code in ".,?#" else UNKNOWN for code in codes)


def _matches(pattern: Pattern, code: str) -> list[Match]:
    found: list[Match] = []
    place = 0
    while len(found) < _MOST_MATCHES:
        match = pattern.regex.search(code, place)
        if match is None:
            break
        gaps = tuple(
            match.span(group) for group in range(1, (match.re.groups or 0) + 1) if match.start(group) >= 0
        )
        found.append(Match(match.start(), match.end(), gaps))
        place = match.start() + 1
    return found


def _urgency(sign: SignEntry, age_weeks: int) -> Urgency | None:
    for rule in sign.age:
        if age_weeks < rule.under_weeks:
            return rule.urgency
    return None if sign.urgency == "hint" else sign.urgency


def _denied(sign: _Seen) -> _Seen:
    return replace(sign, standing=Standing.DENIED)


def _worst(seen: list[_Seen], standing: Standing) -> dict[str, Urgency]:
    worst: dict[str, Urgency] = {}
    for sign in seen:
        if sign.standing is standing and sign.urgency is not None:
            held = worst.get(sign.id)
            if held is None or URGENCIES.index(sign.urgency) < URGENCIES.index(held):
                worst[sign.id] = sign.urgency
    return worst


def _concern(urgencies: dict[str, Urgency], rules: Rules) -> Concern | None:
    """Return the signs as one concern, the most urgent first; among equals those that the urgency's own text answers."""
    if not urgencies:
        return None
    topics = sorted(
        urgencies,
        key=lambda name: (
            URGENCIES.index(urgencies[name]),
            rules.advice.get(name, urgencies[name]) not in URGENCIES,
        ),
    )
    return Concern(urgencies[topics[0]], tuple(topics))


def _names(seen: list[_Seen]) -> frozenset[str]:
    """Return each sign, and each urgency, with how it stands."""
    signs = {f"{each.id} {each.standing.value}" for each in seen}
    return frozenset(signs | {f"{each.urgency} {each.standing.value}" for each in seen if not each.loose})


def _spans(seen: list[_Seen], words: Words) -> tuple[Span, ...]:
    """Return the stretches of the text that the signs take up, merged where they meet."""
    return merged(Span(words.start[s.match.start], words.end[s.match.end - 1]) for s in seen)
