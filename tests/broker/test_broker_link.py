"""The broker link at work: entries in, answers and states out, over every kind of broker."""

import asyncio
import json
import sys
from pathlib import Path

from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties

from broker.aboard import BOAT, ONLINE, Daemon, at_work, onlooker, running, soon
from broker.mosquitto import PATIENCE_S
from middlewatch.links.broker import ENTRY_LIMIT, Reply
from middlewatch.links.broker_connection import connection
from middlewatch.settings import MqttSettings

CHILD = Path(__file__).with_name("child_daemon.py")


async def test_an_entry_comes_in_and_its_answer_goes_out(any_broker: MqttSettings) -> None:
    """What somebody publishes on `sighting` is handed up, and what we publish comes to everybody."""
    async with at_work(any_broker) as daemon, onlooker(any_broker) as other:
        await other.say("sighting", '{"kind": "bearing"}')
        heard = await soon(daemon.heard.get())
        daemon.broker.publish("sighting/answer", "noted", retain=False)
        answer = await other.hear("sighting/answer")

    assert heard == ("sighting", b'{"kind": "bearing"}', False, None)
    assert answer.payload == b"noted"
    assert not answer.retain


async def test_orders_come_on_their_own_channel(plain: MqttSettings) -> None:
    """What is published on `order` is handed up as an order."""
    async with at_work(plain) as daemon, onlooker(plain) as other:
        await other.say("order", "{}")

        assert await soon(daemon.heard.get()) == ("order", b"{}", False, None)


async def test_a_retained_entry_is_handed_up_as_such(any_broker: MqttSettings) -> None:
    """An entry that the broker had kept says so, for it must be refused."""
    async with onlooker(any_broker) as other:
        await other.say("sighting", "old", retain=True)
    async with running(any_broker) as daemon:
        assert await soon(daemon.heard.get()) == ("sighting", b"old", True, None)


async def test_rubbish_is_cut_and_disturbs_nothing(any_broker: MqttSettings) -> None:
    """Of 200 kB of any bytes the limit and one more come up, and the entry behind them comes whole."""
    rubbish = bytes(range(256)) * 800
    async with at_work(any_broker) as daemon, onlooker(any_broker) as other:
        await other.say("sighting", rubbish)
        await other.say("sighting", "after")
        first, second = await soon(daemon.heard.get()), await soon(daemon.heard.get())

    assert first[1] == rubbish[: ENTRY_LIMIT + 1]
    assert second[1] == b"after"
    assert daemon.noted.empty()


async def test_a_sender_over_5_is_answered_where_it_asks(plain: MqttSettings) -> None:
    """An entry brings its response topic and correlation data, and the answer goes there with both."""
    five = plain.model_copy(update={"protocol": "5"})
    asked = Properties(PacketTypes.PUBLISH)  # type: ignore[no-untyped-call] # paho leaves it so
    asked.ResponseTopic, asked.CorrelationData = "skipper/answers", b"7"
    async with at_work(five) as daemon, connection(five, "skipper") as skipper:
        await skipper.subscribe("skipper/answers", qos=1)
        await skipper.publish(f"middlewatch/{BOAT}/sighting", "{}", qos=1, properties=asked)
        *_, reply = await soon(daemon.heard.get())
        assert reply is not None
        daemon.broker.answer(reply, "noted")
        answer = await soon(anext(aiter(skipper.messages)))

    assert reply == Reply("skipper/answers", b"7")
    assert (answer.payload, answer.topic.value) == (b"noted", "skipper/answers")
    assert getattr(answer.properties, "CorrelationData", None) == b"7"


async def test_no_sender_has_us_overwrite_our_own_topics(plain: MqttSettings) -> None:
    """A response topic among our own is passed over, one below the answer topic is not."""
    five = plain.model_copy(update={"protocol": "5"})
    below = f"middlewatch/{BOAT}"
    async with at_work(five) as daemon, connection(five, "skipper") as skipper:
        for wanted in (f"{below}/position", f"{below}/order", f"{below}/sighting/answer/skipper"):
            asked = Properties(PacketTypes.PUBLISH)  # type: ignore[no-untyped-call] # paho leaves it so
            asked.ResponseTopic = wanted
            await skipper.publish(f"{below}/sighting", "{}", qos=1, properties=asked)
        replies = [(await soon(daemon.heard.get()))[3] for _ in range(3)]

    assert replies == [None, None, Reply(f"{below}/sighting/answer/skipper", None)]


async def test_states_are_retained_for_who_comes_later(any_broker: MqttSettings) -> None:
    """A retained topic comes to somebody who subscribes afterwards, in its newest words."""
    async with at_work(any_broker) as daemon:
        async with onlooker(any_broker) as earlier:
            for words in ("first", "second", "third"):
                daemon.broker.publish("advice", words, retain=True)
            await earlier.hear_until("advice", "third")
        async with onlooker(any_broker) as later:
            advice = await later.hear("advice")

    assert (advice.payload, bool(advice.retain)) == (b"third", True)


async def test_of_two_fixes_made_at_once_both_go_out(plain: MqttSettings) -> None:
    """A late entry revises several fixes in one step: each of them is published, in order."""
    async with at_work(plain) as daemon, onlooker(plain) as other:
        for fix in ("f-1.2", "f-2.2", "f-3.2"):
            daemon.broker.publish("fix", fix, retain=True)

        assert await other.hear_until("fix", "f-3.2") == ["f-1.2", "f-2.2", "f-3.2"]


async def test_what_is_published_before_there_is_a_broker_waits(plain: MqttSettings) -> None:
    """Of a state the newest waits for the connection, of the answers each."""
    async with onlooker(plain) as other, running(plain) as daemon:
        for n in range(3):
            daemon.broker.publish("position", f"p{n}", retain=True)
            daemon.broker.publish("order/answer", f"a{n}", retain=False)
        heard = [bytes((await other.hear("position")).payload)]
        heard += [bytes((await other.hear("order/answer")).payload) for _ in range(3)]

    assert heard == [b"p2", b"a0", b"a1", b"a2"]


async def test_farewell_sends_what_waits_and_then_offline(any_broker: MqttSettings) -> None:
    """The last answer goes out, then the status the caller gives, and `run` ends."""
    async with onlooker(any_broker) as other:
        async with at_work(any_broker) as daemon:
            await other.hear_until("status", ONLINE)
            daemon.broker.publish("order/answer", "last", retain=False)
        answer = await other.hear("order/answer")
        status = await other.hear("status")

    assert answer.payload == b"last"
    assert status.payload == b'{"state": "offline"}'
    assert daemon.noted.empty()


async def test_a_cancelled_link_ends_offline_too(plain: MqttSettings) -> None:
    """Cancelled without a farewell, the link still leaves `offline`, for a clean end discards the will."""
    daemon = Daemon(plain)
    async with onlooker(plain) as other:
        task = asyncio.create_task(daemon.broker.run())
        daemon.broker.publish("status", ONLINE, retain=True)
        await other.hear_until("status", ONLINE)
        task.cancel()
        await asyncio.wait({task}, timeout=PATIENCE_S)
        status = await other.hear("status")

    assert task.cancelled()
    assert json.loads(bytes(status.payload))["state"] == "offline"


async def test_a_link_cancelled_while_it_connects_leaves_nothing_open(plain: MqttSettings) -> None:
    """Cancelled at its first step, the link ends without an open socket or a task behind it."""
    daemon = Daemon(plain)
    task = asyncio.create_task(daemon.broker.run())
    asyncio.get_running_loop().call_soon(task.cancel)
    await asyncio.wait({task}, timeout=PATIENCE_S)
    for _ in range(100):
        # What was cancelled with it comes to its end at the loop's next turns, and not before.
        await asyncio.sleep(0)

    assert task.cancelled()
    assert asyncio.all_tasks() == {asyncio.current_task()}


async def test_the_last_will_speaks_for_a_killed_daemon(any_broker: MqttSettings) -> None:
    """A daemon is killed: the broker itself says `offline`, retained, with every field of a status."""
    words = (any_broker.model_dump_json(), BOAT, ONLINE)
    child = await asyncio.create_subprocess_exec(sys.executable, str(CHILD), *words)
    async with onlooker(any_broker) as other:
        await other.hear_until("status", ONLINE)
        child.kill()
        await soon(child.wait())
        said = await other.hear("status")
    async with onlooker(any_broker) as later:
        kept = await later.hear("status")

    assert said.payload == kept.payload
    assert json.loads(bytes(kept.payload)) == {
        "state": "offline",
        "version": "9.8.7",
        "since": None,
        "inputs": [],
        "reworking": False,
    }
