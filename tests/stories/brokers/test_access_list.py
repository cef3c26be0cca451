"""The access list given to owners, `configs/mosquitto.acl`, on a real mosquitto: enough, and no more."""

import asyncio
import json
import re
from asyncio.subprocess import PIPE, STDOUT
from collections import defaultdict
from pathlib import Path

import pytest

from middlewatch.links.sender import Skipper
from middlewatch.settings import MqttSettings
from middlewatch.wire.topics import ENTRY_TOPICS, OUTLETS, full
from stories.brokers.everything_said import BOAT, bystander, everything_said
from stories.brokers.shore import ACCESS_LIST
from stories.story import DEPARTURE, PATIENCE_S, Bus, Json, running, settings_file, stamped_second

SAID = frozenset(
    outlet.topic.replace("{name}", "+").replace("{channel}", channel)
    for outlet in OUTLETS.values()
    for channel in ENTRY_TOPICS
)
"""Every topic that goes out, below the boat, with a wildcard for an alert's name."""

FORGED = json.dumps({"at": "2030-01-01T00:00:00.000Z", "way": "forged"})
REMARK: Json = {"id": "r1", "kind": "remark", "text": "all well"}


def rights() -> dict[str, dict[str, set[str]]]:
    """Return the topics of the list below the boat, by user and by what may be done there."""
    granted: dict[str, dict[str, set[str]]] = {}
    for line in ACCESS_LIST.read_text().splitlines():
        match line.split():
            case ["user", name]:
                user = granted.setdefault(name, defaultdict(set))
            case ["topic", may, topic]:
                user[may].add(topic.removeprefix(full(BOAT, "")))
            case words:
                assert not words or words[0] == "#", line
    return granted


def test_the_list_grants_what_the_daemons_tables_want() -> None:
    """The boat says all that goes out and hears entries and its own status; the skipper enters; all read."""
    assert rights() == {
        "boat": {"read": set(ENTRY_TOPICS), "readwrite": {"status"}, "write": SAID - {"status"}},
        "skipper": {"write": set(ENTRY_TOPICS), "read": {"#"}},
        "crew": {"read": {"#"}},
    }


async def test_each_user_writes_what_is_granted_and_nothing_else(users: dict[str, MqttSettings]) -> None:
    """Over MQTT 5 mosquitto says which it takes: every topic tried by everybody, and another boat's."""
    topics = sorted(topic.replace("+", "light") for topic in SAID) + sorted(ENTRY_TOPICS)
    taken = {
        user: {topic for topic in topics if await _takes(settings, full(BOAT, topic))}
        for user, settings in users.items()
    }

    assert taken["boat"] == set(topics) - set(ENTRY_TOPICS)
    assert taken["skipper"] == set(ENTRY_TOPICS)
    assert taken["crew"] == set()
    for settings in users.values():
        assert not await _takes(settings, full("fulmar", "order"))
        assert not await _takes(settings, full("fulmar", "position"))


async def _takes(settings: MqttSettings, topic: str) -> bool:
    """Say whether the broker takes a message of a user on a topic."""
    return "Not authorized" not in await _published(settings, topic, "{}", "-V", "5")


async def _published(settings: MqttSettings, topic: str, payload: str, *options: str) -> str:
    """Publish with `mosquitto_pub`, once the broker has acknowledged it, and return what it said."""
    assert settings.password_file is not None
    words = ["-h", "127.0.0.1", "-p", str(settings.port), "--cafile", str(settings.ca_file), "-q", "1"]
    words += ["-u", settings.user, "-P", settings.password_file.read_text().strip()]
    process = await asyncio.create_subprocess_exec(
        "mosquitto_pub", *words, *options, "-t", topic, "-m", payload, stdout=PIPE, stderr=STDOUT
    )
    async with asyncio.timeout(PATIENCE_S):
        said, _ = await process.communicate()
    assert process.returncode == 0, said
    return said.decode()


@pytest.mark.slow
async def test_a_daemon_behind_the_list_says_everything(
    tmp_path: Path, users: dict[str, MqttSettings]
) -> None:
    """A watch with every kind of entry: each topic of the tables is heard; the crew reads what is kept."""
    async with everything_said(tmp_path, users["boat"], ashore=users["skipper"]) as heard:
        kept = {topic for topic, _, _ in heard.messages if _is_kept(topic)}
        async with bystander(users["crew"]) as crew:
            for topic in kept:
                await crew.until(topic)

    told = {topic for topic, _, _ in heard.messages}
    assert {re.sub("alert/.+", "alert/+", topic) for topic in told} >= SAID
    assert "alert/broker" not in told


def _is_kept(topic: str) -> bool:
    name = "alert/{name}" if topic.startswith("alert/") else topic
    return any(outlet.topic == name and outlet.retained for outlet in OUTLETS.values())


async def test_the_crew_orders_nothing_and_nobody_speaks_for_the_boat(
    tmp_path: Path, users: dict[str, MqttSettings]
) -> None:
    """A departure by the crew does not come to the daemon, and a position by the skipper to nobody.

    A broker passes on in the order in which it takes: what comes after shows that they were dropped.
    """
    order = json.dumps({"id": "d1", **DEPARTURE})
    async with Bus() as bus, bystander(users["crew"]) as heard:
        settings = settings_file(tmp_path, users["boat"], bus.link)
        async with running(settings) as run, Skipper(users["skipper"], BOAT) as skipper:
            await bus.listener()
            await bus.send(b"".join(map(stamped_second, range(3))))
            await heard.until("position")
            await _published(users["crew"], full(BOAT, "order"), order)
            await _published(users["skipper"], full(BOAT, "position"), FORGED, "-r")
            remarked = await skipper.send("order", REMARK, wait_s=PATIENCE_S)
            await heard.until("order/answer", '"r1"')
            async with bystander(users["crew"]) as newcomer:
                kept = await newcomer.until("position")
            # The same id with other words would be refused, had the crew's departure come.
            departed = await skipper.send("order", {"id": "d1", **DEPARTURE, "sd_nm": 0.1}, wait_s=PATIENCE_S)
            await heard.until("order/answer", '"d1"')
            await run.terminate()

    assert remarked is not None
    assert remarked["accepted"]
    assert departed is not None
    assert departed["accepted"]
    answers = [json.loads(payload) for topic, payload, _ in heard.messages if topic == "order/answer"]
    assert answers == [remarked, departed]
    assert json.loads(kept)["way"] != "forged"
    assert FORGED not in [payload for _, payload, _ in heard.messages]
