"""What the sentences out cost: a second told, and a second sent to five listeners, one of them deaf.

    PYTHONPATH=daemon:tests python -m benchmarks.nmea_out

CPU time; figures of one machine, to be compared with themselves.
"""

import asyncio
import socket
import sys
import time  # noqa: TID251 -- a benchmark reads the CPU's clock
from statistics import median

from middlewatch.links import nmea_out_tcp
from middlewatch.links.nmea_out import Waiting
from middlewatch.links.nmea_out_tcp import TcpServer
from middlewatch.reports import Report
from middlewatch.runtime.outputs import Teller
from middlewatch.settings import OutputSettings
from middlewatch.wire.nmea_own import OwnSentences
from navigator.navigating import Aboard

SECONDS = 1200
EVERY = ("RMC", "GLL", "VTG", "VDR", "HDT", "THS", "NSR", "TXT", "ALERTS")


def told() -> tuple[float, float, list[tuple[bytes, ...]]]:
    """Return ms of CPU a second for the reckoning, for two outputs told of it, and the lines of one."""
    aboard, lines, telling = Aboard(), list[tuple[bytes, ...]](), 0.0
    outputs = [_output("ep", 1), _output("dr", 2)]
    teller = Teller(outputs, aboard.navigator, OwnSentences())
    aboard.sail(2, 90.0, 6.0)
    aboard.depart()
    aboard.order("stream", set_deg=110.0, drift_kn=0.7)
    began = time.process_time()
    for _ in range(SECONDS):
        reports: tuple[Report, ...] = (aboard.sail(1, 90.0, 6.0),)
        since = time.process_time()
        lines.append(teller.told(reports)[0].second)
        telling += time.process_time() - since
    whole = time.process_time() - began
    return (whole - telling) / SECONDS * 1000, telling / SECONDS * 1000, lines


def _output(position: str, port: int) -> OutputSettings:
    said = {"name": position, "link": "tcp", "port": port, "position": position, "sentences": EVERY}
    return OutputSettings.model_validate(said)


async def sent(seconds: list[tuple[bytes, ...]]) -> tuple[float, float]:
    """Return ms of CPU to send a second to four listeners and one that is deaf, and the longest turn."""
    vars(nmea_out_tcp)["PACE_S"] = 0.0  # one second right after the other
    server, waiting, up = TcpServer("127.0.0.1", free := _free_port()), Waiting(), asyncio.Event()
    life = asyncio.create_task(server.run(waiting, up.set))
    await up.wait()
    ears = [socket.create_connection(("127.0.0.1", free)) for _ in range(5)]
    while server.listeners < len(ears):  # noqa: ASYNC110 -- a count tells nobody that it has changed
        await asyncio.sleep(0)
    turns = []
    for second in seconds:
        since = time.process_time()
        waiting.put(second)
        await asyncio.sleep(0)
        await asyncio.sleep(0)
        turns.append((time.process_time() - since) * 1000)
        for ear in ears[:4]:
            ear.recv(65536, socket.MSG_DONTWAIT)
    _say(f"deaf listener dropped: {server.dropped}, seconds sent {waiting.sent}, left out {waiting.left_out}")
    life.cancel()
    for ear in ears:
        ear.close()
    return median(turns), max(turns)


def _say(words: str) -> None:
    sys.stdout.write(f"{words}\n")


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


if __name__ == "__main__":
    reckoning, telling, lines = told()
    a_second, longest = asyncio.run(sent(lines))
    size = sum(len(line) for second in lines for line in second) / len(lines)
    _say(f"a second of the reckoning {reckoning:.2f} ms; told to two outputs {telling:.2f} ms")
    _say(f"{size:.0f} bytes a second each")
    _say(f"sent to five listeners: median {a_second:.3f} ms, longest {longest:.2f} ms")
