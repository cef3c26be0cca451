"""Real brokers to link to: Debian's mosquitto, open or locked, and our own embedded one."""

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from broker.mosquitto import PROGRAM, Mosquitto, certificates
from middlewatch.links.embedded import EmbeddedBroker
from middlewatch.settings import MqttSettings

PASSWORD = "quite secret"  # noqa: S105 - of a broker that lives for one test
ACCESS_LIST = """\
user daemon
topic readwrite middlewatch/#
user silent
topic read middlewatch/#
"""


@pytest.fixture
def mosquitto(tmp_path: Path) -> Iterator[Mosquitto]:
    """Serve a broker open to everybody."""
    yield from _served(Mosquitto(_folder(tmp_path), "allow_anonymous true"))


@pytest.fixture
def plain(mosquitto: Mosquitto) -> MqttSettings:
    """Return how to reach the open broker, over 3.1.1."""
    return MqttSettings(port=mosquitto.port)


@pytest.fixture(scope="session")
def authority(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a throw-away authority and the certificate of a server."""
    folder = tmp_path_factory.mktemp("authority")
    certificates(folder)
    return folder


@pytest.fixture
def locked_mosquitto(tmp_path: Path, authority: Path) -> Iterator[Mosquitto]:
    """Serve a broker with passwords, an access list in its folder's `access`, and TLS."""
    folder = _folder(tmp_path)
    (folder / "access").write_text(ACCESS_LIST)
    passwords = folder / "passwords"
    for create, user in ((["-c"], "daemon"), ([], "silent")):
        command = ["mosquitto_passwd", *create, "-b", str(passwords), user, PASSWORD]
        subprocess.run(command, check=True, capture_output=True)
    broker = Mosquitto(
        folder,
        "allow_anonymous false",
        f"password_file {passwords}",
        f"acl_file {folder / 'access'}",
        f"certfile {authority / 'server.pem'}",
        f"keyfile {authority / 'server.key'}",
    )
    yield from _served(broker)


@pytest.fixture
def locked(locked_mosquitto: Mosquitto, authority: Path) -> MqttSettings:
    """Return how the user `daemon` reaches the locked broker."""
    password = locked_mosquitto.folder / "password"
    password.write_text(f"{PASSWORD}\n")
    return MqttSettings(
        port=locked_mosquitto.port, user="daemon", password_file=password, ca_file=authority / "ca.pem"
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
