from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from bot.domain.ids import ChatId
from bot.messenger.limits import Limits, Rates

CHATS = st.integers(1, 6) | st.integers(-3, -1)


def send_all(chats: list[int], limits: Limits) -> list[tuple[float, int]]:
    """Send to the chats in order, each as soon as the limits let it; return (second, chat)."""
    now, sent = 0.0, []
    for chat in chats:
        while (wait := limits.wait(ChatId(chat), now)) > 0:
            now += wait
        limits.begin(ChatId(chat), now)
        limits.end(ChatId(chat), now)
        sent.append((now, chat))
    return sent


@given(st.lists(CHATS, max_size=150))
def test_no_window_of_time_ever_holds_more_than_the_service_allows(chats: list[int]) -> None:
    sent = send_all(chats, Limits())

    for start, _ in sent:
        within_second = [chat for at, chat in sent if start <= at < start + 0.999]
        within_minute = [chat for at, chat in sent if start <= at < start + 59.999]
        assert len(within_second) <= 30
        assert all(within_second.count(chat) <= 1 for chat in set(within_second) if chat > 0)
        assert all(within_minute.count(chat) <= 20 for chat in set(within_minute) if chat < 0)


def test_there_is_no_burst_in_the_first_second() -> None:
    limits = Limits()
    now = 0.0
    for chat in range(1, 31):
        assert limits.wait(ChatId(chat), now) == 0
        limits.begin(ChatId(chat), now)
        limits.end(ChatId(chat), now)

    assert limits.wait(ChatId(99), now) > 0.9


def test_a_hold_that_the_service_asked_for_is_kept_even_by_the_urgent() -> None:
    limits = Limits()
    limits.hold(ChatId(5), 7.0, now=0.0)

    assert limits.wait(ChatId(5), 3.0, urgent=True) == 4.0
    assert limits.wait(ChatId(6), 3.0) == 0.0


def test_a_worry_does_not_queue_behind_the_chats_own_pace() -> None:
    limits = Limits()
    limits.begin(ChatId(5), 0.0)
    limits.end(ChatId(5), 0.0)

    assert limits.wait(ChatId(5), 0.1) > 0.8
    assert limits.wait(ChatId(5), 0.1, urgent=True) == 0.0


def test_many_chats_do_not_pile_up_for_ever() -> None:
    limits = Limits(Rates(overall=10**6))
    for chat in range(1, 10_001):
        limits.wait(ChatId(chat), float(chat))
        limits.begin(ChatId(chat), float(chat))
        limits.end(ChatId(chat), float(chat))

    assert len(limits._chats) < 3000
