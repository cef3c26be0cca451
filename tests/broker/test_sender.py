"""The sender: an entry is sent again, the same to the letter, until it is answered."""

import asyncio
import json

import pytest

from broker.aboard import BOAT, at_work, onlooker, soon
from broker.mosquitto import Mosquitto, free_port
from middlewatch.links.broker_connection import BrokerAwayError, BrokerRefusedError
from middlewatch.links.sender import Skipper, send
from middlewatch.settings import MqttSettings


async def test_an_entry_gets_an_id_and_its_own_answer(any_broker: MqttSettings) -> None:
    """Over every broker the answer with the entry's id comes back, and no other is taken for it."""
    async with at_work(any_broker) as daemon:
        sending = asyncio.create_task(send(any_broker, BOAT, "sighting", {"kind": "bearing"}))
        channel, payload, retained, _ = await soon(daemon.heard.get())
        entry = json.loads(payload)
        daemon.broker.publish("sighting/answer", "no JSON", retain=False)
        daemon.broker.publish("sighting/answer", '["no object"]', retain=False)
        daemon.broker.publish("sighting/answer", '{"id": "another", "used": false}', retain=False)
        daemon.broker.publish("sighting/answer", json.dumps({"id": entry["id"], "used": True}), retain=False)
        answer = await soon(sending)

    assert (channel, retained, entry["kind"]) == ("sighting", False, "bearing")
    assert len(bytes.fromhex(entry["id"])) == 4
    assert answer == {"id": entry["id"], "used": True}


async def test_it_repeats_the_same_entry_until_answered(plain: MqttSettings) -> None:
    """Unanswered twice, answered the third time: three times the same bytes, with the caller's own id."""
    async with at_work(plain) as daemon:
        body: dict[str, object] = {"id": "mine", "kind": "remark", "text": "Føhn"}
        sending = asyncio.create_task(send(plain, BOAT, "order", body, tries=1000, wait_s=0.1))
        heard = [(await soon(daemon.heard.get()))[1] for _ in range(3)]
        daemon.broker.publish("order/answer", '{"id": "mine"}', retain=False)
        answer = await soon(sending)

    assert len(set(heard)) == 1
    assert json.loads(heard[0]) == body
    assert answer == {"id": "mine"}


async def test_nobody_answers(plain: MqttSettings) -> None:
    """With no daemon there, so many tries are made and no more, and the answer is None."""
    async with onlooker(plain) as other:
        assert await send(plain, BOAT, "order", {"kind": "quiet"}, tries=2, wait_s=0.05) is None
        await other.say("order", "end")
        heard = await other.hear_until("order", "end")

    assert len(heard) == 3


async def test_many_entries_over_one_connection(any_broker: MqttSettings) -> None:
    """Twenty entries under way side by side are each given their own answer."""
    async with at_work(any_broker) as daemon, Skipper(any_broker, BOAT) as skipper:
        answering = asyncio.create_task(daemon.answer_entries())
        bodies: list[dict[str, object]] = [{"id": f"e-{n}", "kind": "quiet"} for n in range(20)]
        answers = await soon(asyncio.gather(*(skipper.send("order", body) for body in bodies)))
        answering.cancel()

    assert [answer["id"] for answer in answers if answer] == [body["id"] for body in bodies]


async def test_a_broker_that_is_not_there_is_tried_again_and_then_said(plain: MqttSettings) -> None:
    """No broker at all: the last failure is raised, with where it was looked for."""
    nowhere = plain.model_copy(update={"port": free_port()})
    with pytest.raises(BrokerAwayError, match=f"the broker at 127.0.0.1:{nowhere.port} cannot be reached"):
        await send(nowhere, BOAT, "order", {"kind": "quiet"}, tries=2, wait_s=0.05)


async def test_a_wrong_password_is_said_at_once(locked: MqttSettings) -> None:
    """What only a changed setting cures is not tried again."""
    assert locked.password_file is not None
    locked.password_file.write_text("wrong")
    with pytest.raises(BrokerRefusedError, match="refuses user 'daemon'"):
        await soon(send(locked, BOAT, "order", {"kind": "quiet"}, tries=1000))


async def test_a_broker_lost_on_the_way_is_said_with_the_entry(
    mosquitto: Mosquitto, plain: MqttSettings
) -> None:
    """The broker is killed while an answer is awaited: the id is told, so that it can be sent again."""
    async with at_work(plain) as daemon, Skipper(plain, BOAT) as skipper:
        sending = asyncio.create_task(skipper.send("order", {"id": "mine"}, wait_s=60.0))
        await soon(daemon.heard.get())
        mosquitto.kill()
        with pytest.raises(BrokerAwayError, match="entry mine is not answered"):
            await soon(sending)


async def test_an_entry_survives_the_loss_of_the_broker(mosquitto: Mosquitto, plain: MqttSettings) -> None:
    """The broker is killed and comes back: the entry is sent again, the same, and answered."""
    async with at_work(plain) as daemon:
        sending = asyncio.create_task(send(plain, BOAT, "order", {"kind": "quiet"}, tries=1000, wait_s=0.1))
        _, before, *_ = await soon(daemon.heard.get())
        mosquitto.kill()
        assert (await soon(daemon.noted.get()))[0]
        mosquitto.start()
        await soon(daemon.broker.connected.wait())
        _, after, *_ = await soon(daemon.heard.get())
        answering = asyncio.create_task(daemon.answer_entries())
        answer = await soon(sending)
        answering.cancel()

    assert after == before
    assert answer == {"id": json.loads(before)["id"], "accepted": True}
