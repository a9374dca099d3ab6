"""The tokens of a message seen as a row of marks: each a phrase of the vocabulary, a number, a sign or an unknown word.

Each mark has a letter, so that the rules for amounts and times can be written as patterns over the row of letters
(amounts.py).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from bot.replies.lexicon import Node, lexicon
from bot.replies.numbers import digits_value, words_value
from bot.replies.phrases import Concept
from bot.replies.spelling import mended
from bot.replies.tokens import Token

# fmt: off
LETTERS = {
    "number": "N", "one": "1", "article": "a", "couple": "N", "unit.minute": "m", "unit.hour": "h",
    "unit.second": "s", "fraction.half": "f", "fraction.quarter": "q", "times": "t", "twice": "2", "multiply": "x",
    "each": "e", "every": "E", "both": "B", "vague": "v", "half_of": "u", "or": "o", "dash": "-", "and": "&",
    "plus": "+", "then": "^", "but": "!", "of": "i", "goal": "G", "total": "T", "at": "@", "in": "n", "for": "r",
    "for_long": "L", "to": ">", "from": "<", "till": "}", "after": "b", "before": "p", "past": "g",
    "half_past": "H", "minus": "~", "ampm": "P", "part": "M", "clock": "K", "start": "Z", "finish": "z", "finish.stop": "X", "refused": "X", "activity": "A",
    "side": "S", "day": "y", "weekday": "Y", "ago": "k", "since": "c", "late": "Q", "measured": "j",
    "labelled": "J", "comma": ",", "subject": "|", "stop": ".", "query": "?", "date": "d",
}
_SIGNS = {
    ",": "comma", ";": "comma", "/": "comma", "(": "light", ")": "light", ".": "stop", "!": "stop", "…": "stop",
    "?": "query", "¿": "stop", "-": "dash", "–": "dash", "—": "dash", "~": "dash", "+": "plus", "¡": "light",
    ":": "light", "'": "prime", "′": "prime", "’": "prime", '"': "light", "“": "light", "”": "light", "#": "light",
    "=": "light", "•": "comma", "|": "comma", "→": "comma", "«": "light", "»": "light",
}
# fmt: on


def kinds(names: str) -> frozenset[str]:
    """Return a set of names written as one line of words."""
    return frozenset(names.split())


SUBJECTS = kinds("she he we i they she's he's we've i've shes hes we're i'm im ella yo nosotros ellos")
# These ask where they begin a sentence; elsewhere they are small words.
AUXILIARIES = kinds("is are was were am do does did have has can could should would will es son esta estan")
# What a baby does, as nouns: a number before one counts it and is no minutes.
_COUNTED = kinds(
    "turns rolls lifts reaches grabs kicks swipes tries attempts vueltas vueltitas giros rodadas volteos levantadas patadas intentos"
)
# After these, a subject goes on with the same clause.
_LEADING = kinds("and then but of at in for to from till after before opener ask how goal or start")
# A full stop right after one of these only shortens the word: der., izq.
_ABBREVIATED = frozenset({"side"})
# So many small words may stand between two words of a phrase.
_MOST_PASSED = 4
FREE = frozenset({"light", "filler"})
_THOUSAND = 1000  # from here on a bare number is a weight, a year or a bill
_HOUR_IN_FOUR = re.compile(r"(?:[01]\d|2[0-3])[0-5]\d")  # 0845
_ARTICLES = frozenset({"a", "an"})
_MEASURES = frozenset({"am", "pm", "m", "min", "mins", "minutes", "minutos", "h", "hr", "hrs"})
_ASKING = frozenset({"ask", "opener"})
_FOR_AN_HOUR = kinds("a an about half another like around nearly almost over")


@dataclass(slots=True)
class Mark:
    """A stretch of the message and what it stands for. start and end are offsets in the text.

    number: the value of a number, or the minutes of an amount. doubt: an amount that must be asked about.
    """

    kind: str
    value: str
    letter: str
    start: int
    end: int
    number: float | None = None
    doubt: bool = False
    notes: frozenset[str] = field(default_factory=frozenset)


def mark(kind: str, start: int, end: int, value: str = "", number: float | None = None) -> Mark:
    letter = LETTERS.get(f"{kind}.{value}") or LETTERS.get(kind, "w")
    return Mark(kind, value, letter, start, end, number)


def marks_of(text: str, tokens: list[Token], language: str) -> list[Mark]:
    """Return the marks of a message in order; `language` decides phrases that both languages hold."""
    tokens, words, found = _phrases(tokens)
    spoken = _spoken(found, language)
    row: list[Mark] = []
    for concepts, first, end in found:
        if first and "\n" in text[tokens[first - 1].end : tokens[first].start]:
            row.append(mark("stop", tokens[first].start, tokens[first].start))
        concept = _between_numbers(concepts, tokens, first) or concepts.get(spoken)
        concept = concept or next(iter(concepts.values()), None)
        _append(row, tokens, words, first, end, concept)
    return row


def language_of(tokens: list[Token]) -> str:
    """Return the language of a message, "en" or "es": that of more of its phrases, English where they are even."""
    return _spoken(_phrases(tokens)[2], "en")


def _phrases(
    tokens: list[Token],
) -> tuple[list[Token], list[str], list[tuple[dict[str, Concept], int, int]]]:
    """Return the tokens without hyphens, their words mended, and the phrases: (by language, first token, end)."""
    tokens = [t for at, t in enumerate(tokens) if not _is_hyphen(tokens, at)]
    words = [mended(t.text) if t.kind == "word" else t.text for t in tokens]
    found: list[tuple[dict[str, Concept], int, int]] = []
    at = 0
    while at < len(tokens):
        concepts, end = _longest(tokens, words, at)
        found.append((concepts, at, end))
        at = end
    return tokens, words, found


def _between_numbers(concepts: dict[str, Concept], tokens: list[Token], at: int) -> Concept | None:
    """Return what a word is between two figures, where it may be "or" there, whatever the language: "10 o 15"."""
    if not 0 < at < len(tokens) - 1 or tokens[at - 1].kind != "number" or tokens[at + 1].kind != "number":
        return None
    return next((concept for concept in concepts.values() if concept.kind == "or"), None)


def _is_hyphen(tokens: list[Token], at: int) -> bool:
    """Return whether a dash only joins two parts of a word, as in side-lying or 10-min."""
    if not 0 < at < len(tokens) - 1 or tokens[at].text not in ("-", "–"):
        return False
    before, after = tokens[at - 1], tokens[at + 1]
    glued = before.end == tokens[at].start and tokens[at].end == after.start
    if after.kind != "word" and before.text in _MEASURES:  # 2pm-2:20pm, 5min-8min
        return False
    return glued and "word" in (before.kind, after.kind)


def _longest(tokens: list[Token], words: list[str], at: int) -> tuple[dict[str, Concept], int]:
    """Return what the longest phrase beginning at a token stands for, by language, and where it ends."""
    known = lexicon()
    start = known.root.next.get(words[at])
    if start is None or tokens[at].kind not in ("word", "sign"):
        return {}, at + 1
    best, end = start.concepts, at + 1
    nodes, skipped, parted = [start], 0, None
    for here in range(at + 1, len(words)):
        word = words[here]
        following = [node.next[word] for node in nodes if word in node.next]
        if here > at + 1 and word in start.next:
            parted = start.next[word]
        for node in following:
            if node.concepts and not (node is parted and _inverts(node)):
                best, end = node.concepts, here + 1
        passed = (word in known.light or word in _ARTICLES) and skipped < _MOST_PASSED
        skipped = skipped + 1 if passed else 0
        nodes = following + ([node for node in nodes if node.next] if passed else [])
        if not nodes:
            break
    return best, end


def _inverts(node: Node) -> bool:
    """Return whether a phrase of two words asks by their order, so that nothing may part them: "is he", not "is out with his"."""
    return any(concept.kind in _ASKING for concept in node.concepts.values())


def _spoken(found: list[tuple[dict[str, Concept], int, int]], language: str) -> str:
    """Return the language of the message: that of more of its phrases, or the carer's where they are even."""
    english = spanish = 0
    for concepts, first, end in found:
        if len(concepts) == 1:
            if "en" in concepts:
                english += end - first
            else:
                spanish += end - first
    if english == spanish:
        return language
    return "en" if english > spanish else "es"


def _append(
    row: list[Mark], tokens: list[Token], words: list[str], first: int, end: int, concept: Concept | None
) -> None:
    token = tokens[first]
    start, stop = token.start, tokens[end - 1].end
    if (
        token.text == "4"
        and end < len(words)
        and words[end] in _FOR_AN_HOUR
        and (row and row[-1].kind != "at")
    ):
        row.append(mark("for", start, stop))
    elif token.kind == "number" and _lists(row, tokens, end):
        row.append(mark("comma", start, stop))
    elif token.kind == "number":
        _append_digits(row, token, start, stop, timed=end < len(words) and words[end] in _MEASURES)
    elif token.kind in ("clock", "date"):
        row.append(mark(token.kind, start, stop, token.text))
    elif token.kind == "times":
        row.append(_how_often(token))
    elif concept is None:
        _append_unknown(row, token, start, stop)
    elif concept.kind == "number" or (concept.kind == "one" and row and row[-1].kind == "number"):
        _append_number(row, words[first], start, stop)
    elif concept.kind == "couple":
        row.append(mark("number", start, stop, "couple", 2.0))
    elif (
        concept.kind in ("light", "was") and words[first] in AUXILIARIES and _begins(row) and end == first + 1
    ):
        row.append(mark("opener", start, stop, "auxiliary"))
    elif concept.kind == "light" and words[first] in SUBJECTS:
        if not row or (row[-1].kind not in _LEADING and row[-1].kind not in FREE):
            row.append(mark("subject", start, stop, words[first]))
    else:
        row.append(mark(concept.kind, start, stop, concept.value))
        if words[end - 1] in _COUNTED:
            row[-1].notes = frozenset({"counted"})


def _how_often(token: Token) -> Mark:
    """Return the mark of what care_moments.py made one token of: an amount with the note "times" and how it was told."""
    how, number, moment = token.text.split("|")
    if how == "none":
        return mark("nothing", token.start, token.end)
    notes = frozenset({"times", how})
    return Mark("amount", moment, "W", token.start, token.end, float(number), how == "nearly", notes)


def _lists(row: list[Mark], tokens: list[Token], following: int) -> bool:
    """Return whether a digit only numbers what comes after it, as in "1) tummy 6 2) lap 4"."""
    token = tokens[following - 1]
    if following >= len(tokens) or tokens[following].text != ")" or len(token.text) > 1:
        return False
    signs = [m.value for m in row if m.value in ("(", ")")]
    return tokens[following].start == token.end and signs.count("(") <= signs.count(")")


def _begins(row: list[Mark]) -> bool:
    """Return whether a sentence begins here."""
    return not row or row[-1].letter in ".?"


def _append_digits(row: list[Mark], token: Token, start: int, stop: int, *, timed: bool) -> None:
    """Append a number in figures. timed: a unit of time comes after it, so that four figures are no clock time."""
    if _HOUR_IN_FOUR.fullmatch(token.text) and not timed:
        row.append(mark("clock", start, stop, f"{token.text[:2]}:{token.text[2:]}"))
        return
    value = digits_value(token.text)
    if value is None or (value >= _THOUSAND and not timed):
        row.append(mark("unknown", start, stop))
        return
    sign = _sign(row, token)
    if value < 1 and row and row[-1].kind == "number" and row[-1].end == start:  # 1½
        value, start = value + (row[-1].number or 0.0), row.pop().start
    row.append(mark("number", start, stop, token.text, value * sign))


def _append_unknown(row: list[Mark], token: Token, start: int, stop: int) -> None:
    if token.kind == "word":
        many = len(token.text) > 3 and token.text.endswith("s")
        row.append(mark("unknown", start, stop, "plural" if many else ""))
        return
    kind = _SIGNS.get(token.text, "light")
    if kind == "prime":
        if row and row[-1].kind == "number" and row[-1].end == start:
            row.append(mark("unit", start, stop, "minute"))
        return
    if token.text == "." and row and row[-1].kind in _ABBREVIATED and row[-1].end == start:
        return
    row.append(mark(kind, start, stop, token.text))


def _append_number(row: list[Mark], word: str, start: int, stop: int) -> None:
    """Append a number word, joined with the number words just before it where they make one number."""
    for back, joint in ((1, ()), (2, ("y",)), (2, ("and",))):
        parts = row[-back:]
        if len(parts) < back or parts[0].kind != "number" or not parts[0].value.replace(" ", "").isalpha():
            continue
        if back == 2 and parts[1].kind != "and":
            continue
        words = (*parts[0].value.split(), *joint, word)
        value = words_value(words)
        if value is not None and value > (parts[0].number or 0.0):
            del row[-back:]
            row.append(mark("number", parts[0].start, stop, " ".join(words), value))
            return
    row.append(mark("number", start, stop, word, words_value((word,))))


def _sign(row: list[Mark], token: Token) -> float:
    """Return -1 for digits with a minus sign of their own, as in "-5": not a dash, a bullet or a range."""
    if not row or row[-1].value not in ("-", "−") or row[-1].end != token.start:
        return 1.0
    if len(row) > 1 and row[-2].kind not in ("did", "done", "stop"):
        return 1.0
    row.pop()
    return -1.0
