"""Debian's mosquitto for the tests: open, or locked, with TLS by a throw-away authority."""

import os
import shutil
import signal
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path
from queue import Queue
from threading import Thread

PATIENCE_S = 60.0
"""How long a test waits for what must come; nothing waits this long unless it fails."""

PROGRAM = shutil.which("mosquitto", path="/usr/sbin:/usr/bin:/usr/local/sbin:/usr/local/bin")


class Mosquitto:
    """A broker process on a loopback port of its own, that can be killed and started again.

    `lines` are added to its configuration. Nothing it retains outlives it.
    """

    def __init__(self, folder: Path, *lines: str) -> None:
        self.port = free_port()
        self.folder = folder
        self._configuration = folder / "mosquitto.conf"
        fixed = (f"listener {self.port} 127.0.0.1", "persistence false", "log_dest stderr", "user root")
        self._configuration.write_text("\n".join((*fixed, *lines, "")))
        self._process: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Start, and return once it serves."""
        assert PROGRAM is not None
        self._process = subprocess.Popen(
            [PROGRAM, "-c", str(self._configuration)], stderr=subprocess.PIPE, text=True
        )
        said: Queue[str] = Queue()
        Thread(target=_listen, args=(self._process, said), daemon=True).start()
        while not (line := said.get(timeout=PATIENCE_S)).rstrip().endswith("running"):
            assert line, "mosquitto ended at once"

    def read_access_list_again(self) -> None:
        """Have it read its passwords and access list again."""
        self._signal(signal.SIGHUP)

    def hang(self) -> None:
        """Stop it where it stands, every connection open."""
        self._signal(signal.SIGSTOP)

    def go_on(self) -> None:
        """Let it go on after a hang."""
        self._signal(signal.SIGCONT)

    def _signal(self, number: signal.Signals) -> None:
        assert self._process is not None
        self._process.send_signal(number)

    def kill(self) -> None:
        """End it at once, as a power cut does."""
        if self._process is not None:
            self._process.kill()
            self._process.wait(PATIENCE_S)
            self._process = None


def _listen(process: subprocess.Popen[str], said: "Queue[str]") -> None:
    assert process.stderr is not None
    with process.stderr:
        for line in process.stderr:
            said.put(line)
    said.put("")


def free_port(kind: socket.SocketKind = socket.SOCK_STREAM) -> int:
    """Return a loopback port that nobody serves just now, and that nobody is given who asks for any."""
    for port in _PORTS:
        with socket.socket(socket.AF_INET, kind) as probe:
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
            return port
    raise AssertionError("no port is free")


def _ports() -> Iterator[int]:
    """Yield each once the ports below those that the system hands out by itself, from a place of our own."""
    lowest = int(Path("/proc/sys/net/ipv4/ip_local_port_range").read_text().split()[0])
    # Where it hands out nearly all of them, there are no better ones.
    ports = range(11_000, max(lowest, 21_000))
    first = os.getpid() * 191
    for place in range(len(ports)):
        yield ports[(first + place) % len(ports)]


_PORTS = _ports()


def certificates(folder: Path) -> None:
    """Make `ca.pem`, and `server.pem` with `server.key` for 127.0.0.1 vouched for by it."""
    extensions = folder / "server.ext"
    extensions.write_text(
        "subjectAltName=IP:127.0.0.1\nauthorityKeyIdentifier=keyid\nbasicConstraints=CA:FALSE\n"
    )
    curve = ["-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes"]
    authority = ["-addext", "keyUsage=critical,keyCertSign", "-subj", "/CN=Throw-away", "-days", "2"]
    _openssl(folder, "req", "-x509", *curve, *authority, "-keyout", "ca.key", "-out", "ca.pem")
    _openssl(folder, "req", *curve, "-subj", "/CN=127.0.0.1", "-keyout", "server.key", "-out", "server.csr")
    signer = ["-CA", "ca.pem", "-CAkey", "ca.key", "-CAcreateserial", "-days", "2", "-extfile", "server.ext"]
    _openssl(folder, "x509", "-req", "-in", "server.csr", *signer, "-out", "server.pem")


def _openssl(folder: Path, *words: str) -> None:
    subprocess.run(["openssl", *words], cwd=folder, check=True, capture_output=True)
