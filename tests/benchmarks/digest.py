"""How long a therapist's digest takes: figures, ranking, messages, pictures and document for a caseload.

    python -m tests.benchmarks.digest [families]        (40 unless told)

Prints seconds of each step, once cold (libraries not yet loaded) and once warm. The aim: 40 families in under 10 s.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import timedelta
from time import perf_counter
from typing import Any

from bot.digest.caseload import caseload_pages
from bot.digest.chart import caseload_picture, week_picture
from bot.digest.document import digest_pdf, visit_note_pdf
from bot.digest.exchange import csv_of
from bot.digest.family_picture import family_week_picture
from bot.digest.fhir import fhir_bundle
from bot.digest.ranking import ranked
from bot.digest.text import family_text
from bot.digest.week import digest_of
from bot.phrases import words_for
from tests.digest.invented_weeks import MONDAY, at, lively_facts, name_of


def timed(name: str, step: Callable[[], Any]) -> Any:
    start = perf_counter()
    result = step()
    print(f"  {name:<34}{perf_counter() - start:8.3f} s")
    return result


def run(families: int) -> None:
    words = words_for("en")
    told = [lively_facts(n) for n in range(1, families + 1)]
    as_of = at(MONDAY + timedelta(days=6), 18)
    start = perf_counter()
    digests = timed("figures", lambda: [digest_of(facts) for facts in told])
    ranking = timed("ranking", lambda: ranked(digests))
    timed(
        "messages",
        lambda: [caseload_pages(ranking, words, name_of)] + [family_text(d, words, name_of) for d in digests],
    )
    timed("caseload picture", lambda: caseload_picture(ranking, words, name_of))
    pictures = timed("a picture a family", lambda: [week_picture(d, words, name_of) for d in digests])
    document = timed("document", lambda: digest_pdf(ranking, words, name_of, as_of=as_of))
    print(f"  {'digest in all':<34}{perf_counter() - start:8.3f} s")
    timed("the families' own pictures", lambda: [family_week_picture(d, words, name_of) for d in digests])
    timed("visit notes", lambda: visit_note_pdf(digests, words, name_of, as_of=as_of))
    timed("CSV", lambda: csv_of(digests))
    timed("FHIR bundles", lambda: [fhir_bundle(facts, name_of) for facts in told])
    print(f"  pictures {sum(map(len, pictures)) / 1024:.0f} KiB, document {len(document) / 1024:.0f} KiB")


if __name__ == "__main__":
    caseload = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    for warmth in ("cold", "warm"):
        print(f"{caseload} families, {warmth}")
        run(caseload)
