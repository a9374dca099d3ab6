"""Times of day as people write them in chat, in English and Spanish: 7, 7:30, 7pm, half past six, las 7 y media.

Pure. A time without morning or evening stays open until its use tells which it is (scheduling a nap "1 to 3" is
in the afternoon), so a time is kept with what the writer said of it.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import Literal

Half = Literal["am", "pm"]

HOUR_WORDS = {
    word: hour
    for hour, words in enumerate(
        (
            "one una", "two dos", "three tres", "four cuatro", "five cinco", "six seis", "seven siete",
            "eight ocho", "nine nueve", "ten diez", "eleven once", "twelve doce",
        ),
        start=1,
    )
    for word in words.split()
}  # fmt: skip
_HOURS = "|".join(HOUR_WORDS)
_HALF = (
    r"(?P<half>a\.?\s?m\.?(?![a-z])|p\.?m\.?(?![a-z])|in the morning|in the (?:afternoon|evening)|at night"
    r"|de la (?:manana|madrugada)|del mediodia|de la (?:tarde|noche))"
)
TIME = re.compile(
    rf"""(?<![\w:.])(?:
        (?P<noon>noon|midday|mediodia) | (?P<midnight>midnight|medianoche)
      | (?P<before>half\ past|half|quarter\ past|quarter\ to)\ (?P<hour_after>\d{{1,2}}|{_HOURS})(?!\w)
      | (?P<hour>\d{{1,2}}|{_HOURS})
        (?: [:.h](?P<minute>[0-5]\d)(?!\d)
          | \ ?(?P<spanish>y\ media|y\ cuarto|menos\ cuarto)(?!\w)
          | \ (?P<english>thirty|fifteen|forty[ -]five)(?!\w) )?
        (?:h|\ ?hrs|\ ?o'?clock|-?\ ?ish)?
    )(?:\ ?{_HALF}|(?!\w|:\d|\.\d|-?\s?(?:min|sec|ml|oz|kg|lb|week|day|month|year|seman|dia|mes|ano|grad|degree|times|veces|x(?!\w)|nap|siesta|feed|bottle|toma|biberon|°|/)))""",
    re.VERBOSE,
)
_MINUTE_WORDS = {"thirty": 30, "fifteen": 15, "forty five": 45, "forty-five": 45}
_OFFSETS = {
    "half past": 30,
    "half": 30, "quarter past": 15, "quarter to": -15, "y media": 30, "y cuarto": 15, "menos cuarto": -15,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class SaidTime:
    """A time of day as said. minute: of the clock as read, 0 to 1439. half: as said, None where it is open."""

    minute: int
    half: Half | None
    start: int
    end: int

    def at(self, half: Half) -> int:
        """Return the minute of the day, an open hour (1 to 12) read as morning or evening."""
        if self.half is not None or self.minute >= 13 * 60:
            return self.minute
        twelve = self.minute // 60 == 12
        if half == "am":
            return self.minute - 720 if twelve else self.minute
        return self.minute if twelve else self.minute + 720

    def after(self, earlier: int) -> int:
        """Return the minute of the day, an open hour read as the first one that comes after `earlier`."""
        for half in ("am", "pm"):
            at = self.at(half)
            if at > earlier:
                return at
        return self.at("pm")


def plain_letters(text: str) -> str:
    """Return the text in lower case without accents, of the same length where it is Latin script."""
    return "".join(
        unicodedata.normalize("NFD", letter)[0] if letter.isalpha() else letter for letter in text.lower()
    )


def times_in(text: str) -> list[SaidTime]:
    """Return the times of day in a text (already in plain letters), in its order."""
    found = []
    for match in TIME.finditer(text):
        said = _said(match)
        if said is not None:
            found.append(said)
    return found


def _said(match: re.Match[str]) -> SaidTime | None:
    if match["noon"] or match["midnight"]:
        return SaidTime(720 if match["noon"] else 1439, "pm", *match.span())
    shown = match["hour_after"] or match["hour"]
    hour = int(shown) if shown.isdigit() else HOUR_WORDS[shown]
    if hour > 24 or (hour == 24 and match["minute"] not in (None, "00")):
        return None
    minute = hour * 60 + int(match["minute"] or 0) + _MINUTE_WORDS.get(match["english"] or "", 0)
    minute += _OFFSETS.get(match["before"] or match["spanish"] or "", 0)
    half = _half(match["half"])
    if hour > 12 or hour == 0 or (shown.startswith("0") and len(shown) == 2):
        return SaidTime(min(minute, 1439), "pm" if hour > 12 else "am", *match.span())
    if half == "pm" and minute < 720:
        minute += 720
    elif half == "am" and minute >= 720:
        minute -= 720
    return SaidTime(minute % 1440, half, *match.span())


def _half(said: str | None) -> Half | None:
    if said is None:
        return None
    morning = re.match(r"a\.?\s?m|in the morning|de la m", said)
    return "am" if morning else "pm"
