"""One connection to the broker of the settings: how it is opened, and in words why it is not."""

import asyncio
import logging
import socket
import ssl
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress

import aiomqtt
from aiomqtt.exceptions import MqttConnectError
from paho.mqtt.reasoncodes import ReasonCode

from middlewatch.settings import MqttSettings

# What the library would log it raises too, and we say it in words.
_SILENT = logging.getLogger("middlewatch.links.broker_connection")
_SILENT.setLevel(logging.CRITICAL)

# A broker that has not confirmed in this time is taken for gone (seconds; judgement, as all times here).
_CONFIRM_S = 5.0
# Nothing heard for this long: a ping goes out, and one unanswered for as long again ends the connection. The
# broker gives up on us after one and a half of it (MQTT 3.1.1, section 3.1.2.10) and publishes the last will.
_KEEPALIVE_S = 10

# Reasons for a refused connection (MQTT 5, section 3.2.2.2; paho gives those of 3.1.1 the same numbers).
_WRONG_PASSWORD = frozenset({134, 135})
_BROKER_UNWELL = frozenset({136, 137, 151, 159})


class BrokerAwayError(ConnectionError):
    """The broker cannot be reached, or was lost: it may come back by itself."""


class BrokerRefusedError(PermissionError):
    """The broker will not have us, or we cannot trust it: somebody has to change a setting."""


@asynccontextmanager
async def connection(
    settings: MqttSettings, client_id: str, will: aiomqtt.Will | None = None
) -> AsyncIterator[aiomqtt.Client]:
    """Hold a connection to the broker of the settings, with nothing kept of the one before.

    Raises BrokerRefusedError where a setting has to be changed, BrokerAwayError where the broker cannot be
    reached or is lost on the way; both say in words which broker and what to look at.
    """
    client = _client(settings, client_id, will)
    await _connect(client, settings)
    lost: BaseException | None = None
    try:
        yield client
    except* aiomqtt.MqttError as faults:
        lost = faults
    finally:
        with suppress(aiomqtt.MqttError):
            await client.__aexit__(None, None, None)
    if lost is not None:
        raise BrokerAwayError(f"lost {place(settings)}") from lost


def _client(settings: MqttSettings, client_id: str, will: aiomqtt.Will | None) -> aiomqtt.Client:
    five = settings.protocol == "5"
    return aiomqtt.Client(
        settings.host,
        settings.port,
        username=settings.user or None,
        password=_password(settings),
        identifier=client_id,
        logger=_SILENT,
        protocol=aiomqtt.ProtocolVersion.V5 if five else aiomqtt.ProtocolVersion.V311,
        clean_session=None if five else True,
        keepalive=_KEEPALIVE_S,
        timeout=_CONFIRM_S,
        will=will,
        tls_context=_tls(settings),
        # An entry of a hundred bytes is not to wait 40 ms for company.
        socket_options=[(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)],
    )


def _password(settings: MqttSettings) -> str | None:
    if not settings.password_file:
        return None
    try:
        return settings.password_file.read_text(encoding="utf-8").rstrip("\r\n")
    except (OSError, UnicodeDecodeError) as fault:
        raise BrokerRefusedError(f"password_file {settings.password_file} cannot be read: {fault}") from fault


def _tls(settings: MqttSettings) -> ssl.SSLContext | None:
    if not settings.ca_file:
        return None
    try:
        context = ssl.create_default_context(cafile=settings.ca_file)
    except OSError as fault:  # ssl.SSLError is one
        raise BrokerRefusedError(f"ca_file {settings.ca_file} cannot be used: {fault}") from fault
    context.sslsocket_class = _HandshakeOrClosed
    return context


class _HandshakeOrClosed(ssl.SSLSocket):
    """A socket that closes when the other end is not to be trusted: paho would leave it open."""

    def do_handshake(self, block: bool = False) -> None:  # noqa: FBT001, FBT002 - as the base class has it
        try:
            super().do_handshake(block)
        except OSError:
            self.close()
            raise


async def _connect(client: aiomqtt.Client, settings: MqttSettings) -> None:
    """Open the connection; a cancellation leaves none half open behind."""
    opening = asyncio.ensure_future(client.__aenter__())
    try:
        await asyncio.shield(opening)
    except asyncio.CancelledError:
        # It connects in a thread, which cannot be called off: let it come to its end, then hang up.
        await asyncio.wait({opening}, timeout=_CONFIRM_S)
        if not opening.cancel() and opening.exception() is None:
            await client.__aexit__(None, None, None)
        raise
    except UnicodeError as fault:
        raise BrokerRefusedError(f"{settings.host!r} cannot be the name of a host: {fault}") from fault
    except aiomqtt.MqttError as fault:
        raise _in_words(fault, settings) from fault


def _in_words(fault: aiomqtt.MqttError, settings: MqttSettings) -> BrokerAwayError | BrokerRefusedError:
    """Say why there is no connection, and what to look at."""
    where = place(settings)
    if isinstance(fault, MqttConnectError):
        code = reason(fault.rc)
        if code in _WRONG_PASSWORD:
            who = f"user {settings.user!r}" if settings.user else "anybody without a user name"
            return BrokerRefusedError(f"{where} refuses {who}: wrong user or password, or not allowed there")
        if code not in _BROKER_UNWELL:
            return BrokerRefusedError(f"{where} refuses the connection: {fault}; check protocol and user")
    # aiomqtt keeps only the text of what went wrong below it; the reason itself is still its context.
    if isinstance(fault.__context__, ssl.SSLError):
        return BrokerRefusedError(f"{where} shows no certificate that ca_file vouches for: {fault}")
    return BrokerAwayError(f"{where} cannot be reached: {fault}")


def reason(code: int | ReasonCode | None) -> int:
    """Return the number of a reason code, 0x80 or more for a refusal; -1 for none."""
    if isinstance(code, ReasonCode):
        return code.value
    return -1 if code is None else code


def place(settings: MqttSettings) -> str:
    """Name the broker of the settings, to go into a sentence."""
    return f"the broker at {settings.host}:{settings.port}"
