"""Debian's mosquitto as a careful owner sets it up: passwords, an access list, TLS."""

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from broker.mosquitto import PROGRAM, Mosquitto, certificates
from middlewatch.settings import MqttSettings
from stories.brokers.shore import ACCESS_LIST, BothEnds


@pytest.fixture
def users(tmp_path: Path) -> Iterator[dict[str, MqttSettings]]:
    """Serve a broker behind the access list; return how each of its users reaches it."""
    if PROGRAM is None:
        pytest.skip("mosquitto is missing: apt install mosquitto")
    folder = tmp_path / "mosquitto"
    folder.mkdir()
    certificates(folder)
    broker = Mosquitto(
        folder,
        "allow_anonymous false",
        f"password_file {folder / 'passwords'}",
        f"acl_file {ACCESS_LIST}",
        f"certfile {folder / 'server.pem'}",
        f"keyfile {folder / 'server.key'}",
    )
    users = {name: _user(folder, broker.port, name) for name in ("boat", "skipper", "crew")}
    broker.start()
    yield users
    broker.kill()


def _user(folder: Path, port: int, name: str) -> MqttSettings:
    secret = folder / f"secret of {name}"
    secret.write_text(f"the {name}'s own\n")
    passwords = folder / "passwords"
    create = [] if passwords.exists() else ["-c"]
    command = ["mosquitto_passwd", *create, "-b", str(passwords), name, secret.read_text().strip()]
    subprocess.run(command, check=True, capture_output=True)
    return MqttSettings(port=port, user=name, password_file=secret, ca_file=folder / "ca.pem")


@pytest.fixture(params=["open, 3.1.1", "open, 5", "locked, 3.1.1", "locked, 5"])
def both_ends(request: pytest.FixtureRequest) -> BothEnds:
    """Each way to set up a broker, over each protocol."""
    kind, _, protocol = request.param.partition(", ")
    if kind == "open":
        plain: MqttSettings = request.getfixturevalue("plain")
        ends = BothEnds(plain, plain)
    else:
        users = request.getfixturevalue("users")
        ends = BothEnds(users["boat"], users["skipper"])
    spoken = {"protocol": protocol}
    return BothEnds(ends.daemon.model_copy(update=spoken), ends.skipper.model_copy(update=spoken))
