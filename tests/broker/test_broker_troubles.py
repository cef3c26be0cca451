"""What goes wrong between us and the broker: each said once, in words, and once when it is over."""

import asyncio
from dataclasses import replace
from itertools import chain
from pathlib import Path

import pytest

from broker.aboard import ONLINE, SOON, Daemon, at_work, onlooker, running, soon
from broker.mosquitto import Mosquitto, certificates, free_port
from middlewatch.links.broker import Patience
from middlewatch.links.outbox import CAPACITY
from middlewatch.settings import MqttSettings

DYNAMIC_SECURITY = next(
    chain.from_iterable(
        Path("/usr").glob(f"{lib}/mosquitto_dynamic_security.so") for lib in ("lib", "lib/*")
    ),
    None,
)
NOBODY_MAY_SUBSCRIBE = '{"defaultACLAccess": {"publishClientSend": true, "subscribe": false}, "clients": []}'


async def test_an_outage_is_said_once_and_its_end_once(mosquitto: Mosquitto, plain: MqttSettings) -> None:
    """The broker is killed and comes back: two notes, and every retained topic has its newest words."""
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
            kept = await other.hear_each("status", "advice", "position")

    assert lost == (True, f"lost the broker at 127.0.0.1:{plain.port}")
    assert back == (False, f"the broker at 127.0.0.1:{plain.port} is there again")
    assert kept == {"status": ONLINE.encode(), "advice": b"before", "position": b"p4"}
    assert daemon.noted.empty()


async def test_a_broker_that_is_not_there_is_said_once(mosquitto: Mosquitto, plain: MqttSettings) -> None:
    """It is named at the first attempt; what was published meanwhile goes out at last."""
    mosquitto.kill()
    async with running(plain) as daemon:
        daemon.broker.publish("status", ONLINE, retain=True)
        failed, text = await soon(daemon.noted.get())
        mosquitto.start()
        async with onlooker(plain) as other:
            await other.hear_until("status", ONLINE)

    assert failed
    assert text.startswith(f"the broker at 127.0.0.1:{plain.port} cannot be reached: ")
    assert "refused" in text
    assert [daemon.noted.get_nowait()[0], daemon.noted.empty()] == [False, True]


@pytest.mark.parametrize("protocol", ["3.1.1", "5"])
async def test_a_publication_the_broker_drops_is_noticed(
    protocol: str, locked_mosquitto: Mosquitto, locked: MqttSettings
) -> None:
    """A user who may only read is told although nothing failed, and told again once the list is mended."""
    silent = locked.model_copy(update={"user": "silent", "protocol": protocol})
    async with at_work(silent, replace(SOON, echo_s=2.0)) as daemon:
        noticed = await soon(daemon.noted.get())
        access = locked_mosquitto.folder / "access"
        access.write_text(access.read_text().replace("topic read ", "topic readwrite "))
        locked_mosquitto.read_access_list_again()
        cured = await soon(daemon.noted.get())

    assert noticed[0]
    assert noticed[1] == (
        "connected, but what we publish does not arrive: check the broker's access list "
        "(we must be let write and read below middlewatch/kittiwake/)"
    )
    assert cured == (False, "what we publish arrives again")


@pytest.mark.parametrize("protocol", ["3.1.1", "5"])
async def test_a_wrong_password_is_said_and_the_right_one_taken(protocol: str, locked: MqttSettings) -> None:
    """The user is named, no secret is; the file is read at each attempt, so correcting it is enough."""
    assert locked.password_file is not None
    right = locked.password_file.read_text()
    locked.password_file.write_text("wrong")
    async with running(locked.model_copy(update={"protocol": protocol})) as daemon:
        refused = await soon(daemon.noted.get())
        locked.password_file.write_text(right)
        cured = await soon(daemon.noted.get())

    place = f"the broker at 127.0.0.1:{locked.port}"
    assert refused == (True, f"{place} refuses user 'daemon': wrong user or password, or not allowed there")
    assert cured == (False, f"{place} is there again")


async def test_a_host_that_cannot_be_one_is_named(plain: MqttSettings) -> None:
    """A slip in the host's name is a setting to change, and no end of the daemon."""
    async with running(plain.model_copy(update={"host": "boat..lan"})) as daemon:
        failed, text = await soon(daemon.noted.get())

    assert failed
    assert text.startswith("'boat..lan' cannot be the name of a host: ")


async def test_a_password_file_that_went_missing_is_named(locked: MqttSettings) -> None:
    """The file is gone: said with its name, and no attempt is made without a password."""
    assert locked.password_file is not None
    locked.password_file.unlink()
    async with running(locked) as daemon:
        failed, text = await soon(daemon.noted.get())

    assert failed
    assert text.startswith(f"password_file {locked.password_file} cannot be read: ")


async def test_a_broker_of_another_authority_is_not_trusted(locked: MqttSettings, tmp_path: Path) -> None:
    """A certificate that ca_file does not vouch for is refused in words, and no password is sent."""
    certificates(tmp_path)
    async with running(locked.model_copy(update={"ca_file": tmp_path / "ca.pem"})) as daemon:
        failed, text = await soon(daemon.noted.get())

    assert failed
    assert "shows no certificate that ca_file vouches for" in text


@pytest.mark.skipif(DYNAMIC_SECURITY is None, reason="mosquitto's dynamic security plugin is missing")
@pytest.mark.parametrize("protocol", ["3.1.1", "5"])
async def test_a_refused_subscription_is_noticed(protocol: str, tmp_path: Path) -> None:
    """A broker that lets us in but not listen is told of, with the topics that stay silent."""
    rules = tmp_path / "rules.json"
    rules.write_text(NOBODY_MAY_SUBSCRIBE)
    plugin = (f"plugin {DYNAMIC_SECURITY}", f"plugin_opt_config_file {rules}", "allow_anonymous true")
    mosquitto = Mosquitto(tmp_path, *plugin)
    mosquitto.start()
    settings = MqttSettings.model_validate({"port": mosquitto.port, "protocol": protocol})
    async with running(settings) as daemon:
        failed, text = await soon(daemon.noted.get())
    mosquitto.kill()

    assert failed
    assert "refuses us middlewatch/kittiwake/sighting and middlewatch/kittiwake/order" in text


async def test_an_offline_from_elsewhere_does_not_stand(plain: MqttSettings) -> None:
    """The late last will of a daemon before us is followed by our own status."""
    async with at_work(plain) as daemon, onlooker(plain) as other:
        await other.hear_until("status", ONLINE)
        await other.say("status", '{"state": "offline"}', retain=True)
        await other.hear_until("status", '{"state": "offline"}')

        assert await other.hear_until("status", ONLINE) == [ONLINE]
        assert daemon.noted.empty()


async def test_too_many_answers_are_said_and_the_newest_kept(plain: MqttSettings) -> None:
    """Without a broker the oldest answers go, told once; with one the others come in order, told too."""
    daemon = Daemon(plain)
    for n in range(CAPACITY + 3):
        daemon.broker.publish("order/answer", str(n), retain=False)
    crowded = await soon(daemon.noted.get())
    async with onlooker(plain) as other, daemon.at_sea():
        heard = await other.hear_until("order/answer", str(CAPACITY + 2))
        over = await soon(daemon.noted.get())

    assert crowded[0]
    assert crowded[1].startswith(f"{CAPACITY} answers and fixes wait for the broker")
    assert heard == [str(n) for n in range(3, CAPACITY + 3)]
    assert over == (False, "all that waited for the broker has been published")


async def test_a_broker_that_hangs_is_taken_for_lost(mosquitto: Mosquitto, plain: MqttSettings) -> None:
    """The broker stops without closing: said within seconds, and what it never confirmed goes out later."""
    async with at_work(plain, replace(SOON, farewell_s=2.0)) as daemon, onlooker(plain) as other:
        await other.hear_until("status", ONLINE)
        mosquitto.hang()
        daemon.broker.publish("order/answer", "unconfirmed", retain=False)
        lost = await soon(daemon.noted.get())
        mosquitto.go_on()
        await other.hear_until("order/answer", "unconfirmed")
        back = await soon(daemon.noted.get())

    assert lost == (True, f"lost the broker at 127.0.0.1:{plain.port}")
    assert back == (False, f"the broker at 127.0.0.1:{plain.port} is there again")


async def test_leaving_a_broker_that_hangs_is_quick(mosquitto: Mosquitto, plain: MqttSettings) -> None:
    """A farewell that nobody confirms is over within its time, which by default is two seconds."""
    assert Patience().farewell_s == 2.0
    async with at_work(plain, replace(SOON, farewell_s=0.2)) as daemon, onlooker(plain) as other:
        await other.hear_until("status", ONLINE)
        mosquitto.hang()
        async with asyncio.timeout(3.0):
            await daemon.broker.farewell("{}")
        mosquitto.go_on()


async def test_leaving_without_a_broker_is_quick(plain: MqttSettings) -> None:
    """A farewell while there is no broker ends the link, and waits for nobody."""
    async with running(plain.model_copy(update={"port": free_port()})) as daemon:
        await soon(daemon.noted.get())
        await soon(daemon.broker.farewell("{}"))

    assert not daemon.broker.connected.is_set()
