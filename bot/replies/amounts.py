"""Minutes: durations in all their forms, ranges, repeats, and the numbers that are no minutes."""

from __future__ import annotations

import re

from bot.replies.marks import Mark, kinds
from bot.replies.rewriting import joined, letters_of, picked, rewrite

# N number, 1 one, a article, h m s units, f half, q quarter, & and, i of, v vague, d a date-like 10/15, K clock.
_DURATION = re.compile(
    r"""(?P<clock>K)h
      | (?P<clock_minutes>K)m
      | <?(?P<low>[N1])[mhs]?(?:[,?]?oo?-?|[->a?]|&(?<=<[N1]&)|&(?<=<[N1]m&))(?P<high>N)(?P<range_unit>[mhs]?)(?![>a-]?[NK])
      | (?P<slash>d)m
      | (?P<part_hour>d)[ia]*h
      | (?P<hours>(?:[N1a])?h)&?a?(?P<part>[fq])(?:i?a?h)?
      | (?P<whole>[N1a])&a?f(?P<half_unit>[hms])
      | (?P<mixed>N)(?P<mixed_part>[fq])(?P<mixed_unit>[hm])
      | a?(?P<half_of_minute>f)[ia]*m
      | (?P<hour>[N1a])h&?(?P<minutes>N)m?(?![tx])
      | (?P<quarters>N)q[ia]*h
      | a?(?P<fraction>[fq])[ia]*h
      | (?P<minute>N)m&?(?P<seconds>N)(?:s|(?=[.,]*$))
      | (?P<half_minutes>[N1a])m&a?f
      | (?P<one_and_half>m)&a?f
      | (?P<bare_half>N)&a?f(?![hmsia])
      | (?P<plain>[N1a])(?P<unit>[mhs])(?!&?[fq])
      | v[i]?[mhs]?o(?P<guess>N)(?P<guess_unit>[mhs]?)
      | v[i]?(?P<some>[mhs])""",
    re.VERBOSE,
)
_PER_UNIT = {"m": 1.0, "h": 60.0, "s": 1 / 60, "": 1.0}
_PART = {"f": 0.5, "q": 0.25}

# t the noun of a repeat, 2 twice, x the sign, e each, + plus.
_REPEAT = re.compile(
    r"""(?P<n1>[N1])t(?!n[DN])[ixer@,n]*(?P<d1>[DN])e?(?!T|[&^]+[DN](?!t))
      | (?P<n2>N)x(?P<d2>[DN])e?
      | (?P<n8>N)(?P<d8>D)t
      | (?P<d3>[DN])x(?P<n3>N)t?
      | x(?P<n7>N)i?(?P<d7>[DN])
      | (?P<d4>[DN])(?!T),?e?(?P<n4>[N1])t
      | (?P<d5>[DN]),?e?(?P<w5>2)
      | (?P<w6>2),?[ir@]?(?P<d6>[DN])e?
      | (?P<sum>[DN](?:\+[DN])+)
      | (?P<split>[Gn][N1]t(?![ixer@,n]*[DN]))
      | (?P<bare>[N1])t | (?P<word>2) | (?P<sign>x(?P<sign_n>N)|(?P<n_sign>N)x)(?![DN])""",
    re.VERBOSE,
)


def _value(mark: Mark | None) -> float:
    """Return what a number, "one" or "an" is worth."""
    if mark is None:
        return 0.0
    return 1.0 if mark.number is None else mark.number


def _amount(parts: list[Mark], minutes: float | None, *notes: str, doubt: bool = False) -> Mark:
    made = joined(parts, "amount", "D", None if minutes is None else round(minutes, 2))
    made.notes = frozenset(notes)
    made.doubt = doubt or minutes is None
    return made


def _duration(parts: list[Mark], match: re.Match[str]) -> Mark | None:
    def value(group: str) -> float:
        return _value(picked(parts, match, group))

    if match["clock"] or match["clock_minutes"]:
        large, small = (int(part) for part in parts[0].value.split(":"))
        return _amount(parts, large * 60 + small if match["clock"] else large + small / 60, "unit")
    if match["low"]:
        return _range(parts, match)
    if match["slash"]:
        low, high = (float(n) for n in parts[0].value.split("/")[:2])
        return _amount(parts, min(low, high), "unit", doubt=True)
    if match["part_hour"]:
        upper, lower = (float(n) for n in parts[0].value.split("/")[:2])
        return _amount(parts, 60 * upper / lower, "unit") if 0 < upper < lower else None
    if match["hours"]:
        whole = 1.0 if len(match["hours"]) == 1 else value("hours")
        return _amount(parts, 60 * (whole + _PART[match["part"]]), "unit")
    if match["whole"]:
        return _amount(parts, (value("whole") + 0.5) * _PER_UNIT[match["half_unit"]], "unit")
    if match["mixed"]:
        part = 0.5 if match["mixed_part"] == "f" else 0.25
        return _amount(parts, (value("mixed") + part) * _PER_UNIT[match["mixed_unit"]], "unit")
    if match["half_of_minute"]:
        return _amount(parts, 0.5, "unit")
    if match["hour"]:
        return _amount(parts, 60 * value("hour") + value("minutes"), "unit")
    if match["quarters"]:
        return _amount(parts, 15 * value("quarters"), "unit")
    if match["fraction"]:
        return _amount(parts, 60 * _PART[match["fraction"]], "unit")
    if match["minute"]:
        return _amount(parts, value("minute") + value("seconds") / 60, "unit")
    if match["half_minutes"]:
        return _amount(parts, value("half_minutes") + 0.5, "unit")
    return _plain_duration(parts, match)


def _plain_duration(parts: list[Mark], match: re.Match[str]) -> Mark:
    def value(group: str) -> float:
        return _value(picked(parts, match, group))

    if match["one_and_half"]:
        return _amount(parts, 1.5, "unit")
    if match["bare_half"]:
        return _amount(parts, value("bare_half") + 0.5)
    if match["guess"]:
        return _amount(parts, value("guess") * _PER_UNIT[match["guess_unit"]], "unit", doubt=True)
    if match["some"]:
        return _amount(parts, None, "unit")
    return _amount(parts, value("plain") * _PER_UNIT[match["unit"]], "unit")


def _range(parts: list[Mark], match: re.Match[str]) -> Mark | None:
    """Return the lower end of a range, in doubt (reading rule 3)."""
    low, high = picked(parts, match, "low"), picked(parts, match, "high")
    unit = _PER_UNIT[match["range_unit"]]
    if high is not None and _value(high) <= _value(low) and "o" not in match.group():
        spans = any(sign in match.group() for sign in "->a")
        hours = spans and not match["range_unit"] and _value(high) < _value(low)
        return joined(parts, "number", "w", None, "hours") if hours else None  # "she has her 9-3", "8 to 1"
    notes = ("unit", "range") if match["range_unit"] else ("range",)
    return _amount(parts, min(_value(low), _value(high)) * unit, *notes, doubt=True)


def _repeat(parts: list[Mark], match: re.Match[str]) -> Mark | None:
    if match["sum"]:
        terms = [p for p in parts if p.letter in "DN"]
        return _amount(parts, sum(_value(t) for t in terms), "unit", "summed") if _counts(terms) else None
    if match["split"]:
        return joined(parts, "number", "w", None, "goal")
    for n in "12345678":
        amount = match.groupdict().get(f"d{n}") and picked(parts, match, f"d{n}")
        if amount:
            if amount.number is None:
                return None
            times = match.groupdict().get(f"n{n}")
            many = _value(picked(parts, match, f"n{n}")) if times else _twice(parts)
            made = _amount(parts, many * amount.number, "unit", "repeated", doubt=amount.doubt)
            made.value = f"{amount.number}"
            return made
    number = picked(parts, match, "bare") or picked(parts, match, "sign_n") or picked(parts, match, "n_sign")
    count = _value(number) if number else _twice(parts)
    if match["sign"] and count >= _MOST_ROUNDS:
        return _amount(parts, count)  # "tummy x10"
    return joined(parts, "count", "C", count)


def _counts(terms: list[Mark]) -> bool:
    return all(t.number is not None for t in terms)


def _twice(parts: list[Mark]) -> float:
    return next((float(p.value) for p in parts if p.kind == "twice"), 1.0)


def with_amounts(row: list[Mark]) -> list[Mark]:
    """Return the row with every duration, repeat and bare number of minutes as one mark each (letter D)."""
    row = rewrite(row, _DURATION, _duration, frozenset("KN1hfqvmd"))
    for mark in row:
        if mark.kind == "heard":
            mark.kind, mark.letter, mark.number, mark.notes = (
                "amount",
                "D",
                float(mark.value),
                frozenset({"unit"}),
            )
    row = rewrite(row, _REPEAT, _repeat, frozenset("tx2+N1"))
    return _bare_numbers(row)


# After one of these, a number right before an unknown word counts that word.
_TOLD_OF = kinds("unknown hand arm head grab reach move lift turn roll event away unwell asleep bad good neg")
# What stands before or after a number that makes it something else than minutes done.
_NOT_MINUTES_BEFORE = frozenset("JGcELd<}")
_NOT_MINUTES_AFTER = frozenset("jkQ")
_MOST_ROUNDS = 5  # from here on the number beside "x" alone is minutes
_TEMPERATURES = ((34.0, 43.0), (94.0, 108.0))


def _bare_numbers(row: list[Mark]) -> list[Mark]:
    letters = letters_of(row)
    if "N" not in letters and "D" not in letters:
        return row
    for at, mark in enumerate(row):
        if mark.letter not in "ND":
            continue
        before, after = letters[at - 1 : at], letters[at + 1 : at + 2]
        explicit = "unit" in mark.notes
        role = _role(row, letters, at)
        if role is None and mark.letter == "N" and not _may_be_minutes(row, at):
            role = "other"
        if role is None and before in _NOT_MINUTES_BEFORE and before and not (before in "J<}" and explicit):
            role = "other"
        if role is None and after in _NOT_MINUTES_AFTER and after:
            role = "other"
        mark.kind, mark.letter = ("amount", "D") if role is None else ("number", "w")
        if role == "goal":
            mark.value = "goal"
        if role is None and before == "b":
            mark.notes |= {"after"}
        if (
            role is None and before == "n" and letters[at - 2 : at - 1] != "C"
        ):  # a wait, not "3 times in 10 min"
            mark.notes |= {"ahead"}
    return _goals_that_were_done(row)


_SETS_RIGHT = frozenset({"mean", "oops", "actually"})


def _goals_that_were_done(row: list[Mark]) -> list[Mark]:
    """Return the row with numbers after "said" or "was meant to be" as amounts where they are the right ones.

    Those are set against another amount ("I said six not sixty", "that 15 was meant to be 5"), or, in a message that
    sets something right, the only number there is ("sorry, that was meant to be 7").
    """
    alone = not any(m.kind == "amount" for m in row) and any(m.kind in _SETS_RIGHT for m in row)
    for at in range(1, len(row)):
        before = row[at - 1]
        if row[at].kind != "number" or before.kind != "goal" or before.value not in ("said", "meant"):
            continue
        against = [m.kind for m in row[at + 1 : at + 4] if m.kind != "comma"][:2] == ["neg", "amount"]
        stated = before.value == "meant" and at > 1 and row[at - 2].kind == "amount"
        if (alone or against or stated) and row[at].number is not None:
            row[at].kind, row[at].letter = "amount", "D"
    return row


def _role(row: list[Mark], letters: str, at: int) -> str | None:
    """Return "goal" for the second number of "4 of the 10", "total" for a sum; None for an amount of its own."""
    if (
        at >= 2
        and letters[at - 1] == "i"
        and letters[at - 2] in "NDw"
        and row[at - 2].kind in ("number", "amount")
    ):
        return "goal"
    if "T" in (letters[at - 1 : at], letters[at + 1 : at + 2]):
        row[at].notes |= {"total"}
    return None


def _labels(row: list[Mark], at: int) -> bool:
    """Return whether a number only counts unknown things named before it: "casualties: two"."""
    first = at
    while first and row[first - 1].kind == "unknown":
        first -= 1
    starts = first == 0 or row[first - 1].letter in ",.?"
    return starts and any(row[n].value == "plural" for n in range(first, at))


def _may_be_minutes(row: list[Mark], at: int) -> bool:
    """Return whether a number without a unit may be minutes: no temperature, and no count of unknown things."""
    mark = row[at]
    if mark.number is None:
        return False
    if mark.number != int(mark.number) and (
        any(low <= mark.number < high for low, high in _TEMPERATURES)
        or mark.number * 4 != int(mark.number * 4)
    ):
        return False
    following = row[at + 1] if at + 1 < len(row) else None
    if _labels(row, at):
        return False
    if mark.number == 0 and any(row[n].kind == "unknown" for n in (at - 1, at + 1) if 0 <= n < len(row)):
        return False
    if following is None:
        return True
    if following.kind == "of" and _of_things(row, at + 2):
        return False
    if _counts_the_next(row, at) or "counted" in following.notes:
        return False
    return following.kind != "hand" and not (following.kind == "unknown" and following.value == "plural")


def _of_things(row: list[Mark], at: int) -> bool:
    """Return whether the number that a first one is "of" counts things: "3 of 5 changes", "4 of the 6 diapers"."""
    if at + 1 >= len(row) or row[at].kind != "number":
        return False
    counted = row[at + 1]
    return counted.kind == "measured" or (counted.kind == "unknown" and counted.value == "plural")


def _counts_the_next(row: list[Mark], at: int) -> bool:
    """Return whether a number inside a clause stands right before an unknown word: "stacked two block", "hay 4 dengue"."""
    mark, following = row[at], row[at + 1]
    if following.kind != "unknown" or following.start - mark.end != 1 or at == 0:
        return False
    return row[at - 1].kind in _TOLD_OF
