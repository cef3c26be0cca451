"""`middlewatch run` on Debian's mosquitto: open and locked, over both protocols, through outage and kill."""

from pathlib import Path

import pytest

from broker.mosquitto import Mosquitto
from middlewatch.settings import MqttSettings
from stories.brokers.shore import Ashore, BothEnds, online, said_until, watch_begun, watch_kept
from stories.story import Bus, reports_of, running, settings_file, watcher

RETAINED = ("position", "satellite", "fix", "status")


async def test_a_watch_is_kept(tmp_path: Path, both_ends: BothEnds) -> None:
    """Entries are answered, the newest reports wait for whoever comes later, and SIGTERM says offline."""
    ashore = Ashore(both_ends.skipper)
    async with Bus() as bus, watcher(both_ends.skipper) as watching:
        async with running(settings_file(tmp_path, both_ends.daemon, bus.link)) as run:
            await bus.listener()
            await online(watching)
            answers = await watch_kept(bus, watching, ashore)
            kept = await ashore.retained(*RETAINED)
            await run.terminate()
        left = await ashore.retained(*RETAINED)

    assert {id_: answer["accepted"] for id_, answer in answers.items()} == {
        "d1": True,
        "b1": True,
        "b2": True,
    }
    assert answers["b2"]["fix"] == "f-b2"
    assert kept["fix"]["id"] == "f-b2"
    assert kept["fix"]["sightings"] == ["b1", "b2"]
    assert kept["position"]["at"] == "2026-05-03T02:05:00.000Z"
    assert kept["satellite"]["at"] == "2026-05-03T02:05:00.000Z"
    assert kept["status"]["state"] == "online"
    assert left["status"]["state"] == "offline"
    assert {topic: left[topic] for topic in RETAINED[:3]} == {topic: kept[topic] for topic in RETAINED[:3]}


async def test_a_retained_entry_is_refused(tmp_path: Path, both_ends: BothEnds) -> None:
    """A departure that the broker keeps would come again at every start: it is refused, and does nothing."""
    ashore = Ashore(both_ends.skipper)
    entry = {"id": "old", "kind": "departure", "latitude_deg": 50.0, "longitude_deg": -4.2}
    async with Bus() as bus, watcher(both_ends.skipper) as watching:
        await ashore.publish("order", entry, "-r")
        async with running(settings_file(tmp_path, both_ends.daemon, bus.link)) as run:
            await bus.listener()
            await online(watching)
            await watch_begun(bus, watching)
            answer = await watching.report("order/answer", accepted=False)
            kept = await ashore.retained("position")
            await run.terminate()

    assert (answer["field"], answer["found"]) == ("retained", "true")
    assert kept["position"]["dr"] is None


async def test_the_broker_is_killed_and_comes_back(
    tmp_path: Path, mosquitto: Mosquitto, plain: MqttSettings
) -> None:
    """The outage is an alert, raised and cleared, and a broker that lost everything has every topic again."""
    reports = tmp_path / "reports.jsonl"
    ashore = Ashore(plain)
    async with Bus() as bus, running(settings_file(tmp_path, plain, bus.link), "--reports", reports) as run:
        await bus.listener()
        async with watcher(plain) as watching:
            await online(watching)
            await watch_kept(bus, watching, ashore)
        mosquitto.kill()
        lost = await said_until(run, "CAUTION: lost the broker")
        mosquitto.start()
        over = await said_until(run, "Broker caution")
        async with watcher(plain) as watching:
            await watching.report("alert/broker", state="normal")
        kept = await ashore.retained(*RETAINED, "alert/broker")
        await run.terminate()

    assert f"127.0.0.1:{plain.port}" in lost
    assert "over" in over
    assert [alert["state"] for alert in reports_of(reports, "alert/broker")] == ["active", "normal"]
    assert kept["fix"]["id"] == "f-b2"
    assert kept["position"]["at"] == "2026-05-03T02:05:00.000Z"
    assert kept["status"]["state"] == "online"
    assert kept["alert/broker"]["state"] == "normal"


@pytest.mark.parametrize("protocol", ["3.1.1", "5"])
async def test_a_killed_daemon_leaves_its_last_will(
    tmp_path: Path, plain: MqttSettings, protocol: str
) -> None:
    """`kill -9`: the broker says offline in our place, and keeps it."""
    spoken = plain.model_copy(update={"protocol": protocol})
    async with Bus() as bus, watcher(plain) as watching:
        async with running(settings_file(tmp_path, spoken, bus.link)) as run:
            await bus.listener()
            await online(watching)
            await run.kill()
            will = await watching.report("status", state="offline")
        kept = await Ashore(plain).retained("status")

    assert will["inputs"] == []
    assert kept["status"] == will
