"""What waits to be published: states coalesce, everything else keeps its place."""

from hypothesis import given
from hypothesis import strategies as st

from middlewatch.links.outbox import Outbox, Publication

TOPICS = ("b/position", "b/status", "b/fix", "b/order/answer")
WORDS = st.lists(st.tuples(st.sampled_from(TOPICS), st.integers(0, 99)), max_size=40)


def publication(topic: str, payload: str) -> Publication:
    """Make a report as the broker link does: answers alone are not retained."""
    return Publication(topic, payload, qos=1, retain=not topic.endswith("/answer"))


async def drained(outbox: Outbox) -> list[tuple[str, str]]:
    """Take everything off, as a broker that confirms each does."""
    taken, last = [], False
    while not last:
        key, first = await outbox.first()
        taken.append((first.topic, first.payload))
        last = outbox.sent(key, first)
    return taken


@given(WORDS)
async def test_every_event_goes_out_in_order_and_of_a_state_the_newest(words: list[tuple[str, int]]) -> None:
    """For any sequence: all answers and fixes, each topic in order; of a state exactly its newest word."""
    outbox = Outbox()
    for topic, word in words:
        assert outbox.put(publication(topic, str(word)))
    taken = await drained(outbox) if words else []

    for topic in TOPICS:
        put = [str(word) for known, word in words if known == topic]
        wanted = put if topic in ("b/fix", "b/order/answer") else put[-1:]
        assert [word for known, word in taken if known == topic] == wanted


async def test_a_state_renewed_while_it_is_sent_goes_out_again() -> None:
    """A newer word that came while the older was under way is not lost with it."""
    outbox = Outbox()
    outbox.put(publication("b/position", "old"))
    key, first = await outbox.first()
    outbox.put(publication("b/position", "new"))

    assert not outbox.sent(key, first)
    assert await drained(outbox) == [("b/position", "new")]


async def test_what_was_not_confirmed_keeps_its_place() -> None:
    """A publication taken but not sent is the first again, before what came later."""
    outbox = Outbox()
    outbox.put(publication("b/order/answer", "1"))
    await outbox.first()
    outbox.put(publication("b/order/answer", "2"))

    assert await drained(outbox) == [("b/order/answer", "1"), ("b/order/answer", "2")]


async def test_put_again_brings_every_retained_topic_once_and_no_answer() -> None:
    """After a reconnection the newest of each retained topic goes out once more, though it had been sent."""
    outbox = Outbox()
    for topic in TOPICS:
        outbox.put(publication(topic, "old"))
        outbox.put(publication(topic, "new"))
    await drained(outbox)
    outbox.put(publication("b/status", "newest"))
    outbox.put_again()

    taken = await drained(outbox)
    assert sorted(taken) == [("b/fix", "new"), ("b/position", "new"), ("b/status", "newest")]


async def test_over_capacity_the_oldest_event_goes_and_no_state() -> None:
    """The caller is told of each one dropped, and the states all stay."""
    outbox = Outbox(capacity=2)
    put = [outbox.put(publication("b/order/answer", str(n))) for n in range(4)]
    outbox.put(publication("b/position", "p"))

    assert put == [True, True, False, False]
    assert await drained(outbox) == [("b/order/answer", "2"), ("b/order/answer", "3"), ("b/position", "p")]
