"""Reading rule 16 as a law: whatever worry is spliced into an ordinary reply, its lengths are no minutes and nothing went well."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from bot.replies.reading import Reading
from tests.replies.said import read

# Lengths of worries and minutes of reports are told apart by their values.
LENGTHS = st.integers(2, 9)
MINUTES = st.integers(11, 25)
ENGLISH_REPORTS = st.sampled_from(
    [
        "tummy time {} min",
        "did {} on the tummy",
        "{} min",
        "she did {} minutes of tummy time",
        "{} min tummy, loved it",
    ]
)
ENGLISH_WORRIES = st.sampled_from(
    [
        "she went limp for {} min",
        "her lips turned blue for about {} minutes",
        "he stopped breathing, {} seconds maybe",
        "his whole body shook for {} min",
        "she had a seizure that lasted {} minutes",
        "he was sick {} times, green stuff",
        "she would not wake up for {} minutes",
        "he choked on milk and was purple, like {} minutes",
    ]
)
SPANISH_REPORTS = st.sampled_from(["boca abajo {} min", "hicimos {} minutos", "{} min", "{} de panza, feliz"])
SPANISH_WORRIES = st.sampled_from(
    [
        "se puso morada como {} minutos",
        "dejó de respirar {} segundos",
        "tuvo una convulsión de {} minutos",
        "no despertaba por {} minutos",
        "le tembló todo el cuerpo {} minutos",
        "se quedó flojita como trapo {} minutos",
    ]
)
JOINTS = st.sampled_from([". ", ", ", "\n", "! ", " - ", "; "])
PROMPTS = st.sampled_from(["", "tummy", "side"])


def counted(reading: Reading) -> set[float | None]:
    return set() if reading.confirm else {entry.minutes for entry in reading.entries}


def check(
    report: str, worry: str, joint: str, minutes: int, prompt: str, language: str, worry_first: bool
) -> None:
    parts = [worry, report] if worry_first else [report, worry]
    reading = read(joint.join(parts), prompt, language)

    assert counted(reading) <= {minutes}, joint.join(parts)
    if reading.concern:
        assert all(seen.kind != "tolerated_well" for seen in reading.observations), joint.join(parts)


@settings(max_examples=60)
@given(ENGLISH_REPORTS, ENGLISH_WORRIES, JOINTS, MINUTES, LENGTHS, PROMPTS, st.booleans())
def test_a_worry_in_english_adds_no_minutes(
    report: str, worry: str, joint: str, minutes: int, length: int, prompt: str, worry_first: bool
) -> None:
    check(report.format(minutes), worry.format(length), joint, minutes, prompt, "en", worry_first)


@settings(max_examples=60)
@given(SPANISH_REPORTS, SPANISH_WORRIES, JOINTS, MINUTES, LENGTHS, PROMPTS, st.booleans())
def test_a_worry_in_spanish_adds_no_minutes(
    report: str, worry: str, joint: str, minutes: int, length: int, prompt: str, worry_first: bool
) -> None:
    check(report.format(minutes), worry.format(length), joint, minutes, prompt, "es", worry_first)
