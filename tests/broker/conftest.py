"""Real brokers to link to: Debian's mosquitto, open or locked, and our own embedded one."""

import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Literal

import pytest
from broker.mosquitto import PROGRAM, Mosquitto, certificates

from middlewatch.links.embedded import EmbeddedBroker
from middlewatch.settings import MqttSettings

Protocol = Literal["3.1.1", "5"]

ACCESS_LIST = """\
user daemon
topic readwrite middlewatch/#
user silent
topic read middlewatch/#
"""


@pytest.fixture(params=["3.1.1", "5"])
def protocol(request: pytest.FixtureRequest) -> Protocol:
    """Each protocol in turn."""
    chosen: Protocol = request.param
    return chosen


@pytest.fixture
def mosquitto(tmp_path: Path) -> Iterator[Mosquitto]:
    """A broker open to everybody."""
    yield from _served(Mosquitto(_folder(tmp_path), "allow_anonymous true"))


@pytest.fixture
def plain(mosquitto: Mosquitto) -> MqttSettings:
    """The open broker, over 3.1.1."""
    return MqttSettings(port=mosquitto.port)


@pytest.fixture(scope="session")
def authority(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a throw-away authority and the certificate of a server."""
    folder = tmp_path_factory.mktemp("authority")
    certificates(folder)
    return folder


@pytest.fixture
def locked(tmp_path: Path, authority: Path) -> Iterator[MqttSettings]:
    """A broker with passwords, an access list and TLS, and what the user `daemon` needs for it."""
    folder = _folder(tmp_path)
    (folder / "access").write_text(ACCESS_LIST)
    passwords, password = folder / "passwords", folder / "password"
    password.write_text("quite secret\n")
    for create, user in ((["-c"], "daemon"), ([], "silent")):
        command = ["mosquitto_passwd", *create, "-b", str(passwords), user, "quite secret"]
        subprocess.run(command, check=True, capture_output=True)
    broker = Mosquitto(
        folder,
        "allow_anonymous false",
        f"password_file {passwords}",
        f"acl_file {folder / 'access'}",
        f"certfile {authority / 'server.pem'}",
        f"keyfile {authority / 'server.key'}",
    )
    for _ in _served(broker):
        yield MqttSettings(
            port=broker.port, user="daemon", password_file=password, ca_file=authority / "ca.pem"
        )


@pytest.fixture
def embedded() -> Iterator[MqttSettings]:
    """Our own broker."""
    with EmbeddedBroker() as port:
        yield MqttSettings(port=port, embedded=True)


@pytest.fixture(params=["plain", "plain over 5", "locked", "locked over 5", "embedded"])
def any_broker(request: pytest.FixtureRequest) -> MqttSettings:
    """Each kind of broker over each protocol it speaks."""
    kind, _, over = request.param.partition(" over ")
    settings: MqttSettings = request.getfixturevalue(kind)
    return settings.model_copy(update={"protocol": over or "3.1.1"})


def _folder(tmp_path: Path) -> Path:
    if PROGRAM is None:
        pytest.skip("mosquitto is missing: apt install mosquitto")
    folder = tmp_path / "mosquitto"
    folder.mkdir()
    return folder


def _served(broker: Mosquitto) -> Iterator[Mosquitto]:
    broker.start()
    yield broker
    broker.kill()
