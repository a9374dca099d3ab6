"""The perfect tense of Spain read as the simple past in which most signs are written: "se ha caído" as "se cayó".

Endings after any grammar of Spanish: "-ado" from verbs in "-ar", "-ido" from the others; the table holds the irregular ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from bot.concerns.vocabulary import UNKNOWN, Vocabulary

_ENDINGS = {  # of the simple past, of verbs in -ar and of the others, without accents
    "ha": ("o", "io"),
    "han": ("aron", "ieron"),
    "he": ("e", "i"),
    "hemos": ("amos", "imos"),
    "habia": ("o", "io"),
    "habian": ("aron", "ieron"),
}
_IRREGULAR = {  # of "ha", and of "han"
    "puesto": ("puso", "pusieron"),
    "caido": ("cayo", "cayeron"),
    "hecho": ("hizo", "hicieron"),
    "dicho": ("dijo", "dijeron"),
    "visto": ("vio", "vieron"),
    "roto": ("rompio", "rompieron"),
    "muerto": ("murio", "murieron"),
    "abierto": ("abrio", "abrieron"),
    "vuelto": ("volvio", "volvieron"),
    "devuelto": ("devolvio", "devolvieron"),
    "dado": ("dio", "dieron"),
    "ido": ("fue", "fueron"),
    "sido": ("fue", "fueron"),
    "tenido": ("tuvo", "tuvieron"),
    "estado": ("estuvo", "estuvieron"),
    "querido": ("quiso", "quisieron"),
    "podido": ("pudo", "pudieron"),
    "venido": ("vino", "vinieron"),
    "traido": ("trajo", "trajeron"),
    "oido": ("oyo", "oyeron"),
    "dormido": ("durmio", "durmieron"),
    "sentido": ("sintio", "sintieron"),
    "seguido": ("siguio", "siguieron"),
    "herido": ("hirio", "hirieron"),
}
_SHORTEST = 5  # letters of a participle by its ending: "dado" and "ido" stand in the table


def in_simple_past(code: str, words: Sequence[str], vocabulary: Vocabulary) -> str:
    """Return an encoded message with each "ha caído" as "ha cayó", where the rules know the simple past.

    words: the same message, a folded word or a mark for each character of its code.
    """
    simple = as_simple_past(words)
    if not simple:
        return code
    row = list(code)
    for place, past in zip(simple, vocabulary.encode(simple.values()), strict=True):
        if past != UNKNOWN:
            row[place] = past
    return "".join(row)


def as_simple_past(words: Sequence[str]) -> dict[int, str]:
    """Return, by its place, the simple past for each participle that follows "ha", "han", "he", "hemos" or "había".

    words: folded, one a place. What is no participle is left out.
    """
    found: dict[int, str] = {}
    for place, (before, word) in enumerate(pairwise(words), start=1):
        endings = _ENDINGS.get(before)
        if endings and (simple := _simple(word, before, endings)):
            found[place] = simple
    return found


def _simple(word: str, before: str, endings: tuple[str, str]) -> str | None:
    if word in _IRREGULAR and before.startswith("ha"):
        return _IRREGULAR[word][before.endswith("n")]
    if len(word) < _SHORTEST:
        return None
    if word.endswith("ado"):
        return word[:-3] + endings[0]
    return word[:-3] + endings[1] if word.endswith("ido") else None
