"""The small language in which the data files write wordings, and what it compiles to.

    lips|mouth ..3 blue      "lips" or "mouth", at most 3 words between, then "blue"
    @baby @be? vomit*        a word of the set `baby`, perhaps one of `be`, a word that begins with "vomit"
    soft_spot                two words, one after the other
    blue !@cloth             "blue", and no word of the set `cloth` right after it
    <!dont pull              "pull", and not "dont" right before it
    ^ fever $                alone in its clause: between marks, or words such as "and", "but", "now"
    #                        a number
    hot|$                    "hot", or the end of the clause; "^" may be an alternative too

No gap reaches over the end of a sentence; a comma may stand anywhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from bot.concerns.text import NUMBER, fold_word
from bot.concerns.vocabulary import Vocabulary

_GAP = re.compile(r"\.\.(\d*)$")
_ELEMENT = re.compile(r"(?P<mark><!|!)?(?P<words>[^?!<]+?)(?P<optional>\?)?$")
_DEFAULT_GAP = 3
_START, _END = "^", "$"
_NO_WORDS = frozenset({NUMBER, _START, _END})


class PatternError(ValueError):
    """A wording is not written in the language above."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """A compiled wording.

    anchor: codes of which at least one is in every text that matches.
    spans_but: the wording names a "but" itself, so that it may reach over one.
    """

    source: str
    regex: re.Pattern[str]
    anchor: str
    spans_but: bool


def alternatives(words: str, sets: Mapping[str, tuple[str, ...]]) -> list[str]:
    """Return the entries that an element stands for: words, stems, or runs of words joined by "_".

    Raises:
        PatternError: a set is named that does not exist.
    """
    found: list[str] = []
    for part in words.split("|"):
        if part.startswith("@"):
            if part[1:] not in sets:
                raise PatternError(f"there is no word set {part[1:]!r}")
            found.extend(sets[part[1:]])
        elif part:
            found.append("_".join(fold_word(word) for word in part.split("_")))
        else:
            raise PatternError("an alternative is empty")
    return found


def entries(source: str, sets: Mapping[str, tuple[str, ...]]) -> Iterable[str]:
    """Yield every word and stem that a wording names, for the vocabulary."""
    for part in source.split():
        if not _is_plain_mark(part):
            for alternative in alternatives(_element(part)["words"], sets):
                yield from (word for word in alternative.split("_") if word not in _NO_WORDS)


def _is_plain_mark(part: str) -> bool:
    return part in {_START, _END} or bool(_GAP.match(part))


def _element(part: str) -> re.Match[str]:
    element = _ELEMENT.match(part)
    if element is None:
        raise PatternError(f"cannot read {part!r}")
    return element


def group(
    words: str, sets: Mapping[str, tuple[str, ...]], vocabulary: Vocabulary, *, wide: bool = True
) -> str:
    """Return a regular expression for one of the alternatives.

    wide: see `compile_pattern`.
    """
    single: list[str] = []
    runs: list[str] = []
    for alternative in alternatives(words, sets):
        if alternative in {_START, _END}:
            runs.append(_edge(alternative, sets, vocabulary, wide=wide))
            continue
        codes = [vocabulary.codes(word) for word in alternative.split("_")]
        if len(codes) == 1:
            single.append(codes[0])
        else:
            runs.append("".join(f"[{code}]" for code in codes))
    if single:
        runs.append(f"[{''.join(single)}]")
    return runs[0] if len(runs) == 1 else f"(?:{'|'.join(runs)})"


def _edge(mark: str, sets: Mapping[str, tuple[str, ...]], vocabulary: Vocabulary, *, wide: bool) -> str:
    """Return a regular expression for the start ("^") or the end ("$") of a clause."""
    if mark == _START:
        starts = group("@clause_start", sets, vocabulary) if wide else "[.?,]"
        return f"(?:^|(?<=[.?,])|(?<={starts}))"
    ends = group("@clause_end", sets, vocabulary) if wide else "[.?,]"
    return f"(?=[.?,]|$|{ends})"


def compile_pattern(
    source: str,
    sets: Mapping[str, tuple[str, ...]],
    vocabulary: Vocabulary,
    common: frozenset[str] = frozenset(),
    *,
    wide: bool = True,
) -> Pattern:
    """Compile a wording.

    Args:
        source: the wording.
        sets: the word sets that it may name.
        vocabulary: where its words have been added.
        common: everyday words, which make poor anchors.
        wide: whether "^" and "$" hold beside "and", "but", "now" too, and a gap may reach over a comma.

    Raises:
        PatternError: the wording cannot be read.
    """
    regex: list[str] = []
    anchors: list[tuple[int, str]] = []
    follows = False  # whether a word stands before
    for part in source.split():
        gap = _GAP.match(part)
        if gap:
            within = "[^.?]" if wide else "[^.?,]"
            regex.append(f"({within}{{0,{gap.group(1) or _DEFAULT_GAP}}}?)")
            continue
        if part in {_START, _END}:
            regex.append(_edge(part, sets, vocabulary, wide=wide))
            continue
        element = _element(part)
        expression = group(element["words"], sets, vocabulary, wide=wide)
        if element["mark"] == "!":
            regex.append(f"(?!,?{expression})")
        elif element["mark"] == "<!":
            regex.append(f"(?<!{expression})")
        elif element["optional"]:
            regex.append(f"(?:,?{expression})?")
        else:
            regex.append((",?" if follows and wide else "") + expression)
            follows = True
            if not {_START, _END} & set(element["words"].split("|")):
                anchors.append(_anchor(element["words"], sets, vocabulary, common))
    if not anchors:
        raise PatternError(f"the wording {source!r} holds no word that must be there")
    return Pattern(source, re.compile("".join(regex)), min(anchors)[1], "but" in re.split(r"[ |]", source))


def _anchor(
    words: str, sets: Mapping[str, tuple[str, ...]], vocabulary: Vocabulary, common: frozenset[str]
) -> tuple[int, str]:
    """Return how common the words of an element are, and the codes of which one must be in the text."""
    weight, codes = 0, ""
    for alternative in alternatives(words, sets):
        rarest = min(alternative.split("_"), key=lambda word: (word in common, -len(word)))
        codes += vocabulary.codes(rarest)
        weight += 100 if rarest in common or rarest == NUMBER else 1
    return weight, codes
