"""What goes wrong between us and the broker: each said once, in words, and once when it is over."""

import asyncio

import pytest
from broker.aboard import BOAT, ONLINE, at_work, onlooker, running, soon
from broker.mosquitto import Mosquitto, free_port

from middlewatch.settings import MqttSettings


async def test_an_outage_is_said_once_and_its_end_once(mosquitto: Mosquitto, plain: MqttSettings) -> None:
    """The broker is killed and started again: two notes, and every retained topic is there in its newest words."""
    async with at_work(plain) as daemon:
        daemon.broker.publish("advice", "before", retain=True)
        async with onlooker(plain) as other:
            await other.hear_until("advice", "before")
        mosquitto.kill()
        lost = await soon(daemon.noted.get())
        for n in range(5):
            daemon.broker.publish("position", f"p{n}", retain=True)
        mosquitto.start()
        back = await soon(daemon.noted.get())
        async with onlooker(plain) as other:
            kept = {topic: bytes((await other.hear(topic)).payload) for topic in ("status", "advice", "position")}

    assert lost == (True, f"lost the broker at 127.0.0.1:{plain.port}")
    assert back == (False, f"the broker at 127.0.0.1:{plain.port} is there again")
    assert kept == {"status": ONLINE.encode(), "advice": b"before", "position": b"p4"}
    assert daemon.noted.empty()
