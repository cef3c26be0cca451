"""A broker of our own, for the demo and for a first evening: on loopback only, MQTT 3.1.1, nothing kept.

It lives in a thread and an event loop of its own, so that whatever it does never makes the daemon's loop
wait, and the daemon meets it as it meets any other broker: through a socket. On a real boat a broker proper
belongs beside us.
"""

import asyncio
import importlib
import logging
import os
from concurrent.futures import Future
from contextlib import suppress
from threading import Thread
from types import ModuleType, TracebackType

_LOOPBACK = "127.0.0.1"
_ANYBODY = {"amqtt.plugins.authentication.AnonymousAuthPlugin": {"allow_anonymous": True}}
# Starting takes a tenth of a second, stopping as long; a board under load gets these seconds (judgement).
_PATIENCE_S = 10.0
_LAST_CONNECTIONS_S = 2.0


class MissingExtraError(RuntimeError):
    """The extra that brings the broker is not installed."""


class EmbeddedBroker:
    """A broker on 127.0.0.1 at this port, 0 letting the system choose; anybody on this machine may use it.

    One start and one stop each; both block, for a tenth of a second. As a context manager it gives its port.
    """

    def __init__(self, port: int = 0) -> None:
        self._port = port
        self._opened: Future[int] = Future()
        self._stop: asyncio.Event | None = None
        self._loop: asyncio.AbstractEventLoop | None = None
        self._thread: Thread | None = None

    def __enter__(self) -> int:
        return self.start()

    def __exit__(
        self, kind: type[BaseException] | None, raised: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()

    def start(self) -> int:
        """Serve, and return the port.

        MissingExtraError where amqtt is not installed, OSError where the port cannot be had.
        """
        amqtt = _amqtt()
        # It tells of each connection and of each oddity of a client; the link that meets them tells ours.
        logging.getLogger("amqtt").setLevel(logging.CRITICAL)
        serving = self._serve(*amqtt)
        self._thread = Thread(target=asyncio.run, args=(serving,), name="embedded broker", daemon=True)
        self._thread.start()
        return self._opened.result(_PATIENCE_S)

    def stop(self) -> None:
        """Close every connection and the port; the retained messages are gone. Never started: nothing."""
        if self._loop is not None and self._stop is not None:
            self._loop.call_soon_threadsafe(self._stop.set)
        if self._thread is not None:
            self._thread.join(_PATIENCE_S)

    async def _serve(self, broker_module: ModuleType, adapters: ModuleType) -> None:
        broker = broker_module.Broker({"listeners": {"default": {"type": "external"}}, "plugins": _ANYBODY})

        async def admit(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            connection = adapters.StreamReaderAdapter(reader), adapters.StreamWriterAdapter(writer)
            try:
                await broker.external_connected(*connection, "default")
            finally:
                # amqtt forgets this where the other end has gone before it could say so.
                writer.close()
                # It may have waited for this same end itself, and been cancelled in it.
                with suppress(OSError, asyncio.CancelledError):
                    await writer.wait_closed()

        await broker.start()
        try:
            server = await asyncio.start_server(admit, _LOOPBACK, self._port)
        except OSError as fault:
            why = "unknown" if fault.errno is None else os.strerror(fault.errno)
            words = f"the embedded broker cannot have port {self._port} ([mqtt] port): {why}"
            self._opened.set_exception(OSError(fault.errno, words))
            await broker.shutdown()
            return
        self._loop, self._stop = asyncio.get_running_loop(), asyncio.Event()
        self._opened.set_result(server.sockets[0].getsockname()[1])
        await self._stop.wait()
        await broker.shutdown()
        # Let the last connections come to their end, for with the loop gone they would stay open; then
        # close the port: asyncio forgets a connection that it was just about to admit.
        with suppress(TimeoutError):
            async with asyncio.timeout(_LAST_CONNECTIONS_S):
                while ending := asyncio.all_tasks() - {asyncio.current_task()}:
                    await asyncio.wait(ending)
        server.close()


def _amqtt() -> tuple[ModuleType, ModuleType]:
    """Bring in amqtt's broker and adapters only now, for an installation without the extra has none."""
    try:
        return importlib.import_module("amqtt.broker"), importlib.import_module("amqtt.adapters")
    except ImportError as missing:
        raise MissingExtraError(
            "the embedded broker is in the extra `demo`: pip install 'middlewatch[demo]'"
        ) from missing
