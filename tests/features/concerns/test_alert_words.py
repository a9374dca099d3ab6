"""What an alert shows: a carer's words once, whatever they were read as, and what its buttons are about."""

from __future__ import annotations

from datetime import timedelta

from bot.activities.library import load_library
from bot.domain.ids import CarerId, ConcernId, MessageId
from bot.features import verbs
from bot.features.concerns import views
from bot.features.concerns.alert_facts import AlertFacts
from bot.phrases import words_for
from tests.features.concerns.cases import MUM, NOW, concern
from tests.features.states import HALIFAX, family

WORDS = words_for("en")
FACTS = AlertFacts(
    now=NOW,
    clinic_zone=HALIFAX,
    family=family(),
    library=load_library(),
    carers={CarerId(MUM.id): "Mum"},
    baby=None,
    held=("tummy_time",),
    week_minutes=0,
    week_days=0,
)
SWOLLEN = concern(
    id=ConcernId(7),
    urgency="same_day",
    topics=("arm_swollen",),
    text="the door hit the shoulder and it swelled",
    advice="advice.same_day",
)
ASKED = concern(
    id=ConcernId(8),
    urgency="act_now",
    topics=("learned_reader",),
    text=SWOLLEN.text,
    advice=None,
)


def test_the_same_words_stand_in_an_alert_once_with_all_that_they_were_read_as() -> None:
    for told in ((ASKED, SWOLLEN), (SWOLLEN, ASKED)):
        text, buttons = views.alert(told, FACTS, WORDS)

        assert text.count(SWOLLEN.text) == 1
        assert text.startswith(WORDS("therapist.concern_act_now", nickname="Pip"))
        assert WORDS("therapist.advice_sent") in text
        assert WORDS("therapist.also_unseen") not in text
        assert all(
            name in text for name in views.signs_shown((*SWOLLEN.topics, *ASKED.topics), WORDS).split(", ")
        )
        go_on = verbs.GO_ON.data(SWOLLEN.id)
        assert go_on in [button.data for line in buttons for button in line]
        assert buttons[0][0].data == verbs.SEEN.data(SWOLLEN.id, ASKED.id)


def test_other_words_of_the_family_stand_below() -> None:
    later = concern(id=ConcernId(9), message_id=MessageId(4), text="and now she is hot")

    text, buttons = views.alert((ASKED, SWOLLEN, later), FACTS, WORDS)

    assert text.count(SWOLLEN.text) == 1
    assert text.index(WORDS("therapist.also_unseen")) < text.index("and now she is hot")
    assert buttons[0][0].label == WORDS.plain("therapist.seen_all_button", n=2)
    assert "9" in buttons[0][0].data


def test_a_press_never_means_words_that_did_not_fit() -> None:
    long = [
        concern(
            id=ConcernId(20 + n), message_id=MessageId(50 + n), at=NOW + timedelta(minutes=n), text="x" * 900
        )
        for n in range(6)
    ]
    same = concern(id=ConcernId(40), topics=("fever",))

    text, buttons = views.alert((concern(), *long, same), FACTS, WORDS)

    shown = text.count("x" * 900)
    assert 0 < shown < len(long)
    assert buttons[0][0].data.endswith(f":{20 + shown - 1}")
