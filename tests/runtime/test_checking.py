"""Check: what would steer and why, what the variation is, what is missing, and how it ends."""

import asyncio
import re
from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path

from typer.testing import CliRunner

from broker.mosquitto import PATIENCE_S, free_port
from middlewatch.cli import app
from middlewatch.journal import Journal
from middlewatch.quantities.instants import Instant
from middlewatch.runtime.checking import check
from middlewatch.settings import Settings, load
from middlewatch.wire.lines import checksum

START_MS = Instant.parse("2026-05-03T01:55:00Z").ms
HEADING, GYRO = "HCHDG,261.0,,,,", "HEHDT,250.1,T"
WATER = "VWVHW,,T,,M,5.2,N,,K"
SATELLITE = "GPRMC,015500,A,5000.0000,N,00412.0000,W,5.2,040.0,030526,,,A"


def sealed(body: str) -> bytes:
    """Return a sentence with its checksum and CR LF."""
    return f"${body}*{checksum(body.encode())}\r\n".encode()


def stamped(second: int, *bodies: str) -> bytes:
    """Return these sentences at one second, each behind a TAG block."""
    block = f"c:{START_MS + 1000 * second}"
    return b"".join(f"\\{block}*{checksum(block.encode())}\\".encode() + sealed(body) for body in bodies)


def minute(*bodies: str) -> bytes:
    """Return a minute of these sentences, each once a second, stamped."""
    return b"".join(stamped(second, *bodies) for second in range(60))


def boat(folder: Path, link: str, rest: str = "[mqtt]\nembedded = true\n") -> Settings:
    """Return the settings of a boat with one input."""
    file = folder / "boat.toml"
    file.write_text(f'[[inputs]]\nname = "bow"\n{link}\n{rest}')
    return load(file)


def logged(folder: Path, recording: bytes, rest: str = "[mqtt]\nembedded = true\n") -> Settings:
    """Return the settings of a boat whose bus is a file with stamps."""
    (folder / "bus.nmea").write_bytes(recording)
    return boat(folder, 'link = "file"\npath = "bus.nmea"\nstamp = "tag"', rest)


async def checked(settings: Settings, listen_s: float = 10.0) -> tuple[bool, list[str]]:
    """Check, and return whether all is there and what was said."""
    said: list[str] = []
    async with asyncio.timeout(PATIENCE_S):
        good = await check(settings, said.append, listen_s=listen_s)
    return good, said


def about(said: Iterable[str], subject: str) -> str:
    """Return the one sentence that begins with this subject."""
    (found,) = (sentence for sentence in said if sentence.startswith(subject))
    return found


@asynccontextmanager
async def gateway(text: bytes) -> AsyncIterator[int]:
    """Serve text over TCP and keep the connection; give the port."""
    over = asyncio.Event()

    async def admit(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        writer.write(text)
        await writer.drain()
        await over.wait()
        writer.close()

    server = await asyncio.start_server(admit, "127.0.0.1", 0)
    async with server:
        yield server.sockets[0].getsockname()[1]
        over.set()


async def test_all_is_there(tmp_path: Path) -> None:
    """Heading and speed are named with their source and why; a stamped file is heard to its end."""
    good, said = await checked(logged(tmp_path, minute(HEADING, WATER, SATELLITE)))

    assert good
    ended = f"file {tmp_path / 'bus.nmea'}: came to its end"
    assert about(said, "Input bow") == f"Input bow: 180 sentences taken; {ended}."
    assert about(said, "Heading") == "Heading would be steered by HCHDG@bow: the best heard at the start."
    assert about(said, "Speed") == (
        "Speed through the water would be steered by VWVHW@bow: the best heard at the start."
    )
    assert not any(sentence.startswith("Missing") for sentence in said)


async def test_the_better_source_is_chosen_and_the_other_named(tmp_path: Path) -> None:
    """Of two headings one steers; why stands beside it, and that the other was heard."""
    first = b"".join(stamped(second, "HCHDM,260.0,M", WATER) for second in range(3))
    both = b"".join(stamped(second, "HCHDM,260.0,M", HEADING, WATER) for second in range(3, 40))
    _, said = await checked(logged(tmp_path, first + both))

    assert about(said, "Heading") == (
        "Heading would be steered by HCHDG@bow: better than HCHDM@bow; also heard: HCHDM@bow."
    )


async def test_heading_but_no_speed(tmp_path: Path) -> None:
    """What is missing is named, with what the skipper can do about it; a satellite's speed is none."""
    good, said = await checked(logged(tmp_path, minute(HEADING, SATELLITE)))

    assert not good
    assert about(said, "Speed") == "Speed through the water: not heard."
    assert about(said, "Missing") == (
        "Missing for the job: speed through the water. The skipper can give them by hand: order by_hand."
    )


async def test_nothing_is_heard_over_tcp(tmp_path: Path) -> None:
    """A gateway that serves nothing: both are missing after the time is over, and that is said."""
    async with gateway(b"") as port:
        settings = boat(tmp_path, f'link = "tcp"\nhost = "127.0.0.1"\nport = {port}')
        good, said = await checked(settings, listen_s=0.3)

    assert not good
    assert about(said, "Input bow") == "Input bow: nothing heard."
    assert about(said, "Missing").startswith("Missing for the job: heading and speed through the water.")


async def test_what_is_heard_by_its_arrival(tmp_path: Path) -> None:
    """Without stamps the board's clock serves, and a second's worth of lines is enough to choose."""
    async with gateway(sealed(HEADING) + sealed(WATER)) as port:
        settings = boat(tmp_path, f'link = "tcp"\nhost = "127.0.0.1"\nport = {port}')
        good, listen_s = False, 0.5
        while not good and listen_s < PATIENCE_S:
            # A busy machine is listened to for longer.
            good, said = await checked(settings, listen_s=listen_s)
            listen_s *= 4

    assert good
    assert "HCHDG@bow" in about(said, "Heading")


async def test_a_link_that_fails_says_why(tmp_path: Path) -> None:
    """A device that is not there, in the system's words."""
    settings = boat(tmp_path, 'link = "file"\npath = "none.nmea"')
    _, said = await checked(settings, listen_s=0.3)

    assert about(said, "Input bow") == (
        f"Input bow: nothing heard; file {tmp_path / 'none.nmea'}: No such file or directory."
    )


async def test_lines_of_no_use_are_counted_by_reason(tmp_path: Path) -> None:
    """What was rejected and what passed over is said with how often."""
    spoilt = b"".join(stamped(second, HEADING).replace(b"261", b"262") for second in range(5))
    _, said = await checked(logged(tmp_path, minute(HEADING, WATER) + spoilt))

    assert "rejected: 5 " in about(said, "Input bow")
    assert "checksum" in about(said, "Input bow")


async def test_no_inputs_at_all(tmp_path: Path) -> None:
    """Settings without inputs end at once, and well they do not."""
    settings = replace(boat(tmp_path, 'link = "stdin"'), inputs=())
    good, said = await checked(settings)

    assert not good
    assert said[0].startswith("Listening to 0 inputs")


# --- variation ------------------------------------------------------------------------------------------


async def test_before_a_departure_the_variation_is_unknown(tmp_path: Path) -> None:
    """The model wants a reckoned position, and the satellites' is none: it says so."""
    _, said = await checked(logged(tmp_path, minute(HEADING, WATER, SATELLITE)))

    assert about(said, "Variation") == (
        "Variation unknown: the World Magnetic Model wants a reckoned position, and there is none before a"
        " departure; it is never taken at the satellite position."
    )


async def test_the_charts_rose_needs_no_position(tmp_path: Path) -> None:
    """21 00 E in 1992 with 8 minutes westerly annual change is 17 E in 2022 (common practice, no source)."""
    rose = 'variation = {source = "chart", value_deg = 21.0, year = 1992, annual_change_min = -8}'
    text = minute(HEADING, WATER).replace(b"c:1777", b"c:1651")  # a date of 2022: the rose is worked for it
    bare = b"".join(sealed_again(line) for line in text.splitlines())
    _, said = await checked(logged(tmp_path, bare, f"[compass]\n{rose}\n[mqtt]\nembedded = true\n"))

    assert about(said, "Variation").startswith("Variation 17.0 E by ")


def sealed_again(line: bytes) -> bytes:
    """Return a stamped line with the checksum of its TAG block worked anew."""
    _, block, sentence = line.split(b"\\")
    body = block.partition(b"*")[0]
    return b"\\" + body + f"*{checksum(body)}".encode() + b"\\" + sentence + b"\r\n"


async def test_a_bus_that_brings_no_variation(tmp_path: Path) -> None:
    """By order of the settings it is to come from the bus, and nothing of it is heard."""
    rest = '[compass]\nvariation = {source = "bus"}\n[mqtt]\nembedded = true\n'
    _, said = await checked(logged(tmp_path, minute(HEADING, WATER), rest))

    assert about(said, "Variation") == (
        "Variation unknown: it is to come by the bus, and nothing of it is heard."
    )


async def test_the_journals_last_position_serves_as_it_will_in_a_run(tmp_path: Path) -> None:
    """After a run with a departure the variation is known: by the model, at the journal's last position."""
    settings = logged(tmp_path, minute(HEADING, WATER))
    departed = tmp_path / "departure.jsonl"
    departed.write_text(
        '{"kind": "departure", "latitude_deg": 50.0, "longitude_deg": -4.2, "at": "2026-05-03T01:55:05Z"}\n'
    )
    options = ["--sightings", str(departed), "--journal", str(settings.journal.file)]
    played = CliRunner().invoke(app, ["replay", str(tmp_path / "bus.nmea"), *options])
    _, said = await checked(settings)

    assert played.exit_code == 0, played.stderr
    found = re.fullmatch(
        r"Variation 0\.\d W by (.+), the last position in the journal\.", about(said, "Variation")
    )
    assert found is not None
    assert found[1] == "WMM2025 at 50 00 N 004 12 W, 2026.3"


async def test_a_journal_in_use_is_left_alone(tmp_path: Path) -> None:
    """While a daemon runs its journal is its own: that is said, and the rest goes on."""
    settings = logged(tmp_path, minute(HEADING, WATER))
    with Journal.open(settings.journal.file):
        good, said = await checked(settings)

    assert good
    assert str(settings.journal.file) in about(said, "Journal")
    assert about(said, "Variation").startswith("Variation unknown")


async def test_checking_makes_no_journal(tmp_path: Path) -> None:
    """Nothing is written by listening."""
    settings = logged(tmp_path, minute(HEADING, WATER))
    await checked(settings)

    assert not settings.journal.file.exists()


# --- the broker -----------------------------------------------------------------------------------------


async def test_a_broker_out_of_reach(tmp_path: Path) -> None:
    """All else is there, and yet it does not end well; the broker is named."""
    port = free_port()
    settings = logged(tmp_path, minute(HEADING, WATER), f"[mqtt]\nport = {port}\n")
    good, said = await checked(settings)

    assert not good
    assert about(said, "Broker").startswith(f"Broker: the broker at 127.0.0.1:{port} cannot be reached: ")


async def test_a_broker_that_is_reached(tmp_path: Path, settings_file: Path) -> None:
    """A real one is named as reached."""
    port = load(settings_file).mqtt.port
    good, said = await checked(logged(tmp_path, minute(HEADING, WATER), f"[mqtt]\nport = {port}\n"))

    assert good
    assert about(said, "Broker") == f"Broker: the broker at 127.0.0.1:{port} reached."


async def test_our_own_broker_need_not_be_there(tmp_path: Path) -> None:
    """It starts with the daemon."""
    good, said = await checked(logged(tmp_path, minute(HEADING, WATER)))

    assert good
    assert about(said, "Broker") == "Broker: our own, started with the daemon."
