"""Debian's mosquitto as a careful owner sets it up: passwords, an access list, TLS."""

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from broker.mosquitto import PROGRAM, Mosquitto, certificates
from middlewatch.settings import MqttSettings
from stories.brokers.shore import BothEnds

ACCESS_LIST = """\
user daemon
topic readwrite middlewatch/kittiwake/#
user skipper
topic write middlewatch/kittiwake/sighting
topic write middlewatch/kittiwake/order
topic read middlewatch/kittiwake/#
"""


@pytest.fixture
def locked(tmp_path: Path) -> Iterator[BothEnds]:
    """Serve a broker with a user for the daemon and one for the skipper, who may write entries only."""
    if PROGRAM is None:
        pytest.skip("mosquitto is missing: apt install mosquitto")
    folder = tmp_path / "mosquitto"
    folder.mkdir()
    certificates(folder)
    (folder / "access").write_text(ACCESS_LIST)
    broker = Mosquitto(
        folder,
        "allow_anonymous false",
        f"password_file {folder / 'passwords'}",
        f"acl_file {folder / 'access'}",
        f"certfile {folder / 'server.pem'}",
        f"keyfile {folder / 'server.key'}",
    )
    ends = [_user(folder, broker.port, name) for name in ("daemon", "skipper")]
    broker.start()
    yield BothEnds(*ends)
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
        ends = request.getfixturevalue("locked")
    spoken = {"protocol": protocol}
    return BothEnds(ends.daemon.model_copy(update=spoken), ends.skipper.model_copy(update=spoken))
