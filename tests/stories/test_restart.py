"""Ended and started again: on the same boot of the board, and on another."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from itertools import pairwise
from pathlib import Path

import pytest

from broker.aboard import BOAT
from middlewatch.journal import Journal
from middlewatch.links.sender import Skipper
from middlewatch.navigator.navigator import Navigator
from middlewatch.quantities.instants import Instant
from middlewatch.readings.watch import Started
from middlewatch.reports import Report
from middlewatch.runtime import clock, starting
from middlewatch.runtime.keeper import take_up
from middlewatch.runtime.replay import Replay, read_lines
from middlewatch.runtime.run import Daemon, Files
from middlewatch.runtime.tape import read_tape
from middlewatch.settings import MqttSettings, load
from middlewatch.wire import entries as entry_reader
from middlewatch.wire.recording import Recording
from middlewatch.wire.topics import reports_line
from stories.story import (
    DEPARTURE,
    PATIENCE_S,
    Bus,
    Json,
    Watcher,
    reports_of,
    running,
    sealed,
    settings_file,
    watcher,
)

HOUR_MS = 3_600_000
STEADY = (sealed("HCHDG,040.0,,,,"), sealed("VWVHW,,T,,M,6.0,N,,K"))
"""A steady boat: 040 by compass, 6 knots by log."""


def log_total(nm: float) -> bytes:
    """Return a log's total."""
    return sealed(f"VWVLW,{nm:.2f},N,{nm:.2f},N")


async def sail(bus: Bus, watching: Watcher, seconds: int, *more: bytes, since: str = "") -> str:
    """Say a steady boat's sentences once for each second that is told; return the newest second."""
    for _ in range(seconds):
        await bus.send(b"".join(each + b"\r\n" for each in (*STEADY, *more)))
        since = str((await watching.position_after(since))["at"])
    return since


# --- the same boot -----------------------------------------------------------------------------------------


async def test_killed_and_started_again_it_runs_on_as_held(tmp_path: Path, plain: MqttSettings) -> None:
    """Killed and started again on the same boot, not a second is missing, and the DR is an unbroken run's.

    The unbroken run hears what the first heard until its last commit and what the second heard, nothing
    between: a sensor held over the gap. Position and satellite reports are the same, byte for byte.
    """
    async with Bus() as bus, watcher(plain) as watching, Skipper(plain, BOAT) as skipper:
        settings = settings_file(tmp_path, plain, bus.link, stamp="arrival")
        async with running(settings, *_files(tmp_path, "first")) as run:
            await bus.listener()
            since = await sail(bus, watching, 2)
            assert await skipper.send("order", {"id": "d1", **DEPARTURE})
            since = await sail(bus, watching, 3, since=since)
            await run.kill()
        bus.drop()
        async with running(settings, *_files(tmp_path, "second")) as run:
            await bus.listener()
            since = await sail(bus, watching, 3, since=since)
            await run.terminate()

    committed, unbroken = _unbroken(settings, tmp_path)
    times = [Instant.parse(each["at"]).ms for each in reports_of(tmp_path / "second.jsonl", "position")]
    assert times[0] == committed + 1000
    assert {later - earlier for earlier, later in pairwise(times)} == {1000}
    assert _positions_and_satellites((tmp_path / "second.jsonl").read_text().splitlines()) == unbroken


def _files(folder: Path, name: str) -> tuple[str | Path, ...]:
    return "--record", folder / f"{name}.nmea", "--reports", folder / f"{name}.jsonl"


def _unbroken(settings: Path, folder: Path) -> tuple[int, list[str]]:
    """Return the last second committed, and what a navigator says from then on who was never interrupted."""
    chosen, said = load(settings), list[str]()
    with Journal.open(folder / "second.nmea.journal") as journal:
        behind = take_up(journal, Navigator(chosen.tuning(), chosen.marks, entry_reader))
    assert behind is not None
    # What is heard on the second itself comes after its tick, and so after the commit.
    before_ms = behind.at_ms if behind.at_ms % 1000 == 0 else behind.at_ms + 1

    def say(at: Instant, reports: tuple[Report, ...]) -> None:
        said.extend(reports_line(at, each) for each in reports if at.ms > behind.tick_ms)

    navigator = Navigator(chosen.tuning(), chosen.marks, entry_reader)
    for name, until_ms in (("first", before_ms), ("second", 2**62)):
        recording = folder / f"{name}.nmea"
        lines = [line for line in Recording(read_lines(str(recording))) if line.at_ms < until_ms]
        tape = [
            each
            for each in read_tape(recording)
            if each.at_ms < until_ms and (name == "first" or not isinstance(each.reading, Started))
        ]
        Replay(chosen, navigator).run(lines, say, tape=tape)
    return behind.tick_ms, _positions_and_satellites(said)


def _positions_and_satellites(lines: list[str]) -> list[str]:
    return [line for line in lines if line.startswith(('{"topic":"position"', '{"topic":"satellite"'))]


# --- an hour, and another boot: the daemon in this process, its board's clock in our hands ------------------


@asynccontextmanager
async def at_sea(settings: Path, reports: Path) -> AsyncIterator[Daemon]:
    """Run the daemon in this process, and stop it in order."""
    daemon = Daemon(load(settings), Files(reports=reports), lambda *_: None)
    task = asyncio.create_task(daemon.run())
    try:
        yield daemon
    finally:
        daemon.stop()
        async with asyncio.timeout(PATIENCE_S):
            await task


async def first_watch(settings: Path, bus: Bus, watching: Watcher, broker: MqttSettings) -> str:
    """Sail some seconds from a departure, the log's total at 100 nm, and end; return the newest second."""
    async with at_sea(settings, settings.with_name("first.jsonl")), Skipper(broker, BOAT) as skipper:
        await bus.listener()
        since = await sail(bus, watching, 2, log_total(100.0))
        assert await skipper.send("order", {"id": "d1", **DEPARTURE})
        since = await sail(bus, watching, 2, log_total(100.0), since=since)
    bus.drop()
    return since


def an_hour_later(monkeypatch: pytest.MonkeyPatch, *, booted: Path | None = None) -> None:
    """Let an hour pass for the board's clocks; with a file, on another boot."""
    utc_ms, monotonic_ms = clock.utc_ms, clock.monotonic_ms
    monkeypatch.setattr(clock, "utc_ms", lambda: utc_ms() + HOUR_MS)
    monkeypatch.setattr(starting, "utc_ms", lambda: utc_ms() + HOUR_MS)
    if booted is None:
        monkeypatch.setattr(clock, "monotonic_ms", lambda: monotonic_ms() + HOUR_MS)
    else:
        booted.write_text("another-boot\n")
        monkeypatch.setattr(clock, "_BOOT_ID", booted)
        booted_ms = monotonic_ms()
        monkeypatch.setattr(clock, "monotonic_ms", lambda: monotonic_ms() - booted_ms)


async def test_an_hour_later_on_the_same_boot(
    tmp_path: Path, plain: MqttSettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An hour's gap on the same boot is run on to the second by the last heading and speed, and said once."""
    second = tmp_path / "second.jsonl"
    async with Bus() as bus, watcher(plain) as watching:
        settings = settings_file(tmp_path, plain, bus.link, stamp="arrival")
        since = await first_watch(settings, bus, watching, plain)
        an_hour_later(monkeypatch)
        async with at_sea(settings, second):
            await bus.listener()
            later = str(Instant(Instant.parse(since).ms + HOUR_MS))
            held = await watching.position_at(later)
            await sail(bus, watching, 1, log_total(100.0), since=str(held["at"]))

    before = reports_of(tmp_path / "first.jsonl", "position")[-1]
    positions = reports_of(second, "position")
    gap_s = (Instant.parse(held["at"]).ms - Instant.parse(before["at"]).ms) // 1000
    assert gap_s >= 3600
    assert [each["at"] for each in positions[:gap_s]] == [
        str(Instant(Instant.parse(before["at"]).ms + 1000 * (place + 1))) for place in range(gap_s)
    ]
    # 6 kn for so many seconds; published to 4 decimals of a mile.
    assert held["dr"]["run_nm"] - before["dr"]["run_nm"] == pytest.approx(6 * gap_s / 3600, abs=1e-4)
    assert (held["basis"]["heading"]["source"], held["basis"]["speed"]["source"]) == ("held", "held")
    said = {str(each) for each in reports_of(second, "alert/heading") if each["at"] < held["at"]}
    assert len(said) == 1
    assert "not heard for 15 s" in said.pop()


async def test_another_boot_waits_for_the_skipper(
    tmp_path: Path, plain: MqttSettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On another boot, its clock not trusted, the DR waits and says so, until the clock is ordered."""
    async with Bus() as bus, watcher(plain) as watching:
        settings = settings_file(tmp_path, plain, bus.link, stamp="arrival")
        since = await first_watch(settings, bus, watching, plain)
        an_hour_later(monkeypatch, booted=tmp_path / "boot_id")
        async with at_sea(settings, tmp_path / "second.jsonl"), Skipper(plain, BOAT) as skipper:
            await bus.listener()
            since = await sail(bus, watching, 3, since=since)
            answer = await skipper.send("order", {"kind": "clock", "utc": str(Instant(clock.utc_ms()))})
            await sail(bus, watching, 2, since=since)

    before = reports_of(tmp_path / "first.jsonl", "position")[-1]
    positions = reports_of(tmp_path / "second.jsonl", "position")
    assert {str(each["dr"]) for each in positions[:2]} == {str(before["dr"])}
    assert _run_between(before, positions[-1]) == pytest.approx(_run_at_6_kn(before, positions[-1]), abs=0.01)
    assert answer is not None
    assert "the gap was 60 min" in str(answer["effect"])
    alerts = reports_of(tmp_path / "second.jsonl", "alert/position")
    assert [each["state"] for each in alerts[:2]] == ["active-unacknowledged", "rectified-unacknowledged"]
    assert "the DR waits" in alerts[0]["text"]


async def test_another_boot_is_told_by_the_log(
    tmp_path: Path, plain: MqttSettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On another boot the log's total, grown by three miles, carries the DR three miles on."""
    async with Bus() as bus, watcher(plain) as watching:
        settings = settings_file(tmp_path, plain, bus.link, stamp="arrival")
        since = await first_watch(settings, bus, watching, plain)
        an_hour_later(monkeypatch, booted=tmp_path / "boot_id")
        async with at_sea(settings, tmp_path / "second.jsonl"):
            await bus.listener()
            since = await sail(bus, watching, 1, since=since)
            await sail(bus, watching, 3, log_total(103.0), since=since)

    before = reports_of(tmp_path / "first.jsonl", "position")[-1]
    positions = reports_of(tmp_path / "second.jsonl", "position")
    told = next(each for each in positions if _run_between(before, each) > 1.0)
    assert _run_between(before, told) == pytest.approx(3.0, abs=0.02)
    assert _run_between(told, positions[-1]) == pytest.approx(_run_at_6_kn(told, positions[-1]), abs=0.02)


async def test_another_boot_with_a_trusted_clock(
    tmp_path: Path, plain: MqttSettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On another boot with a battery clock the gap is as exact as on the same boot."""
    async with Bus() as bus, watcher(plain) as watching:
        settings = settings_file(tmp_path, plain, bus.link, stamp="arrival", more="[clock]\ntrusted = true")
        since = await first_watch(settings, bus, watching, plain)
        an_hour_later(monkeypatch, booted=tmp_path / "boot_id")
        async with at_sea(settings, tmp_path / "second.jsonl"):
            await bus.listener()
            await watching.position_at(str(Instant(Instant.parse(since).ms + HOUR_MS)))

    before = reports_of(tmp_path / "first.jsonl", "position")[-1]
    positions = reports_of(tmp_path / "second.jsonl", "position")
    assert len(positions) >= 3600
    assert Instant.parse(positions[0]["at"]).ms == Instant.parse(before["at"]).ms + 1000
    assert positions[3599]["dr"]["run_nm"] - before["dr"]["run_nm"] == pytest.approx(6.0, abs=1e-4)


async def test_a_clock_set_while_the_run_was_down_is_said(
    tmp_path: Path, plain: MqttSettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On the same boot, a clock that was set between two runs is said, and the labels follow it."""
    utc_ms = clock.utc_ms
    async with Bus() as bus, watcher(plain) as watching:
        settings = settings_file(tmp_path, plain, bus.link, stamp="arrival")
        since = await first_watch(settings, bus, watching, plain)
        monkeypatch.setattr(clock, "utc_ms", lambda: utc_ms() + HOUR_MS)
        async with at_sea(settings, tmp_path / "second.jsonl"):
            await bus.listener()
            await watching.position_at(str(Instant(Instant.parse(since).ms + HOUR_MS)))

    alerts = reports_of(tmp_path / "second.jsonl", "alert/clock")
    assert "it was set by +3600.0 s" in alerts[0]["text"]
    runs = [each["dr"]["run_nm"] for each in reports_of(tmp_path / "second.jsonl", "position")]
    assert runs[-1] - runs[0] < 0.1


def _run_between(one: Json, other: Json) -> float:
    """Return what the DR has run from one position report to another, nm."""
    return float(other["dr"]["run_nm"]) - float(one["dr"]["run_nm"])


def _run_at_6_kn(one: Json, other: Json) -> float:
    """Return what a boat at six knots runs between them, nm: how long that is, the machine decides."""
    return 6 * (Instant.parse(other["at"]).ms - Instant.parse(one["at"]).ms) / HOUR_MS
