"""How often something was done, as carers tell it by care moments: "every change today", "4 of the 6 diapers".

Tokens that say so become one token of the kind "times", so that no word of theirs is read as anything else. Looked for only
where an activity of the plan counts by times.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal, get_args

from bot.replies.numbers import digits_value, words_value
from bot.replies.tokens import Token

MomentName = Literal["nappy", "dressing", "bath", "play", "carry", "bedtime"]
MOMENTS: frozenset[str] = frozenset(get_args(MomentName))
MOST_TIMES = 24  # a day, as in a plan
# Every word stands for one letter; what is matched is a run of letters. N a number, 1 "one", F "3/5", M a care moment, m one
# that may be a thing ("diapers"), c a pause, d a day, U a unit, "." any other word.
_LETTERS = {
    "each": "E", "all": "A", "of": "o", "but": "B", "except": "X", "them": "P", "nearly": "H", "times": "T", "either": "R",
    "none": "Z", "units": "U", "passed_over": "l",
}  # fmt: skip
_LIKE = re.compile(
    r"""(?P<nearly> l*(?:H[ol]*[EA]?[ol]*[N1]?|EH|E(?=N)|[N1][Rc](?=N))N?[ol]*[MmT] )
      | (?P<none> Z[ol]*[Mm] | H1M )
      | (?P<but_some> l*(?:[EA][ol]*N?[ol]*[MmTP1]|A)c?[XB][ol]*(?P<less>[N1]) )
      | (?P<but_which> l*(?:[EA][ol]*N?[ol]*[MmTP1]|A)c?X[ol]* )
      | (?P<counted> l*[EA][ol]*[MmT]c?[ol]*(?P<n1>[N1])T? )
      | (?P<all_n> l*A[ol]*(?P<n2>N)[ol]*[MmTP] )
      | (?P<every> l*[EA][ol]*[MmT] )
      | (?P<all_five> A[ol]*(?P<n5>N)(?![.UTMm]) )
      | (?P<all_of_them> A[ol]*P|PA|E[l]*[P1]|A(?=[cd]*$) )
      | (?P<of_n> l?(?P<n3>[N1])o+l*N(?:[ol]*[MmT]|(?![UN])) )
      | (?P<some> l*(?P<n4>[N1])(?:ol*)?M | (?:l+|^)(?P<n6>[N1])(?:ol*)?m )
      | (?P<of_written> ^.{0,2}(?P<n7>F)[cd]*$ )
      | (?P<one_time> (?<!o)(?P<n8>1)T )""",
    re.VERBOSE,
)
_HOW = {
    "nearly": "nearly", "none": "none", "but_some": "every", "but_which": "nearly", "counted": "of", "all_n": "of",
    "every": "every", "all_five": "of", "all_of_them": "every", "of_n": "of", "some": "some", "of_written": "of",
    "one_time": "some",
}  # fmt: skip
_NUMBERED = {
    "but_some": ("less",), "counted": ("n1",), "all_n": ("n2",), "of_n": ("n3",), "some": ("n4", "n6"), "all_five": ("n5",),
    "of_written": ("n7",), "one_time": ("n8",),
}  # fmt: skip
# These name no care moment, and say so only in answer to a reminder that counts by times.
_PROMPTED = ("all_of_them", "all_five", "of_written", "one_time")
_TODAY = frozenset({"today", "hoy", "day", "dia"})
_ONE = frozenset({"one", "uno", "una"})
_PAUSES = frozenset(",:;-–—!.")


@dataclass(frozen=True, slots=True)
class _Words:
    """letters: what a word stands for. moments: runs of words that name a care moment, the longest first."""

    letters: dict[str, str]
    moments: tuple[tuple[tuple[str, ...], str], ...]
    things: frozenset[str]
    of_the_diaper: frozenset[str]


@cache
def _words() -> _Words:
    document = tomllib.loads((files("bot.replies") / "care_moments.toml").read_text(encoding="utf-8"))
    letters = {
        word: letter
        for table, letter in reversed(_LETTERS.items())
        for word in document[table]["words"].split()
    }
    moments = [
        (tuple(phrase.split()), name) for name, phrases in document["moments"].items() for phrase in phrases
    ]
    longest = sorted(moments, key=lambda each: (-len(each[0]), each))
    things, of_the_diaper = (
        frozenset(document[table]["words"].split()) for table in ("things", "of_the_diaper")
    )
    return _Words(letters, tuple(longest), things, of_the_diaper)


@dataclass(frozen=True, slots=True)
class _Piece:
    """One letter of what is matched, over tokens first..end (end not included)."""

    letter: str
    first: int
    end: int
    moment: str = ""
    number: float | None = None


def with_care_moments(tokens: list[Token], moments: frozenset[str], *, prompted: bool) -> list[Token]:
    """Return the tokens with each run that says how often as one token, its text "how|number|moment".

    how: "every" (number: how many were left out), "of" (so many of the day's), "some", "none" or "nearly". moments: those that are looked
    for. prompted: the reminder at hand counts by times, so that "all of them" needs no moment.
    """
    if any(token.text in _words().of_the_diaper for token in tokens):
        return tokens
    pieces = _pieces(tokens, moments)
    out: list[Token] = []
    done = 0
    for match in _LIKE.finditer("".join(piece.letter for piece in pieces)):
        if not prompted and any(match[kind] for kind in _PROMPTED):
            continue
        first, end = pieces[match.start()].first, pieces[match.end() - 1].end
        out += tokens[done:first]
        out.append(Token("times", _told(match, pieces), tokens[first].start, tokens[end - 1].end))
        done = end
    return out + tokens[done:]


def _told(match: re.Match[str], pieces: list[_Piece]) -> str:
    kind = next(name for name in _HOW if match[name])
    group = next((name for name in _NUMBERED.get(kind, ()) if match[name]), None)
    number = 0.0 if group is None else pieces[match.start(group)].number or 0.0
    run = pieces[match.start() : match.end()]
    moment = next((piece.moment for piece in run if piece.moment), "")
    return f"{_HOW[kind]}|{number:g}|{moment}"


def _pieces(tokens: list[Token], moments: frozenset[str]) -> list[_Piece]:
    texts = [token.text for token in tokens]
    pieces: list[_Piece] = []
    at = 0
    while at < len(tokens):
        moment = next(
            (
                each
                for each in _words().moments
                if each[1] in moments and tuple(texts[at : at + len(each[0])]) == each[0]
            ),
            None,
        )
        end = at + (len(moment[0]) if moment else 1)
        letter = "m" if end == at + 1 and texts[at] in _words().things else "M"
        pieces.append(_Piece(letter, at, end, moment[1]) if moment else _piece(tokens[at], at))
        at = end
    return pieces


def _piece(token: Token, at: int) -> _Piece:
    letter = _words().letters.get(token.text)
    if token.text in _ONE:
        return _Piece("1", at, at + 1, number=1.0)
    if token.text in _PAUSES:
        return _Piece("c", at, at + 1)
    if token.text in _TODAY:
        return _Piece("d", at, at + 1)
    if letter is not None:
        return _Piece(letter, at, at + 1)
    if token.kind == "date":
        first, second = (int(part) for part in token.text.split("/")[:2])
        return _Piece("F" if first <= second <= MOST_TIMES else ".", at, at + 1, number=float(first))
    number = digits_value(token.text) if token.kind == "number" else words_value((token.text,))
    if token.kind in ("number", "word") and number is not None and number == int(number):
        return _Piece("N", at, at + 1, number=number)
    return _Piece(".", at, at + 1)
