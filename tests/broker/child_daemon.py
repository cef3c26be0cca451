"""A process with nothing but a broker link, to be killed: settings as JSON, boat, its online status."""

import asyncio
import json
import sys

from middlewatch.links.broker import Broker
from middlewatch.settings import MqttSettings


async def main(settings: str, boat: str, online: str) -> None:
    """Run the link until somebody ends the process."""
    broker = Broker(
        MqttSettings(**json.loads(settings)),
        boat,
        entry=lambda *_: None,
        note=lambda *_: None,
        version="9.8.7",
    )
    broker.publish("status", online, retain=True)
    await broker.run()


asyncio.run(main(*sys.argv[1:]))
