"""The embedded broker: there when asked for, only on this machine, gone when stopped."""

import socket
import sys

import pytest

from broker.mosquitto import free_port
from middlewatch.links.embedded import EmbeddedBroker


def test_it_serves_the_port_it_tells_and_only_on_loopback() -> None:
    """The port it chose takes connections at 127.0.0.1 and at no other loopback address."""
    with EmbeddedBroker() as port:
        socket.create_connection(("127.0.0.1", port), timeout=5).close()
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection(("127.0.0.2", port), timeout=5)


def test_it_serves_the_port_it_is_given_again_and_again() -> None:
    """A given port is served, free after the stop, and served by the next one."""
    wanted = free_port()
    for _ in range(2):
        with EmbeddedBroker(wanted) as port:
            assert port == wanted
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection(("127.0.0.1", wanted), timeout=5)


def test_a_port_that_is_taken_is_an_error_that_names_it() -> None:
    """Two brokers on one port: the second says which port it could not have."""
    with EmbeddedBroker() as port:
        second = EmbeddedBroker(port)
        with pytest.raises(OSError, match=str(port)):
            second.start()
        second.stop()


def test_without_the_extra_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    """An installation without amqtt is told the extra's name."""
    monkeypatch.setitem(sys.modules, "amqtt.broker", None)

    with pytest.raises(RuntimeError, match=r"middlewatch\[demo\]"):
        EmbeddedBroker().start()
