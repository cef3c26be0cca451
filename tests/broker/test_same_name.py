"""Two daemons of one boat's name on one broker: neither throws the other off, and both say it loudly."""

from broker.aboard import at_work, onlooker, running, soon
from middlewatch.settings import MqttSettings

OTHER = '{"state": "online", "since": "2026-05-03T01:15:00.000Z"}'


async def test_another_of_our_name_is_said_by_both_and_its_end_too(any_broker: MqttSettings) -> None:
    """Each hears the other's status, says so once, and once more when it is heard no longer."""
    async with at_work(any_broker) as one:
        async with running(any_broker) as other:
            await soon(other.broker.connected.wait())
            other.broker.publish("status", OTHER, retain=True)
            failed, text = await soon(one.noted.get())
            one.broker.publish("status", OTHER.replace("01:15", "01:10"), retain=True)
            also_failed, also = await soon(other.noted.get())
        over = await soon(one.noted.get())

    assert failed
    assert also_failed
    assert text.startswith("another daemon called kittiwake is on the broker at ")
    assert "online since 2026-05-03T01:15:00.000Z" in text
    assert "online since 2026-05-03T01:10:00.000Z" in also
    assert over == (False, "no other daemon called kittiwake is heard any more")


async def test_what_the_broker_kept_of_the_run_before_is_no_other(plain: MqttSettings) -> None:
    """A retained `online` of a daemon that died with its broker is nobody's word now."""
    async with onlooker(plain) as somebody:
        await somebody.say("status", OTHER, retain=True)
        async with at_work(plain) as daemon:
            await somebody.hear_until("status", '{"state": "online"}')

    assert daemon.noted.empty()
