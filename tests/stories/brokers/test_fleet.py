"""Ten daemons on one mosquitto: each on its own topics, of its own waters, whatever befalls another."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import AsyncExitStack, asynccontextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

from middlewatch.settings import MqttSettings
from stories.brokers.fleet import (
    FLEET,
    NAMES,
    NEAR_DEG,
    Boat,
    Cost,
    Harbour,
    cost_of,
    enter,
    harbour,
    places,
    sail,
)
from stories.story import Bus, Json, Run, running

DEPARTS_S, FIRST_S, SECOND_S, THIRD_S = 5, 60, 360, 420
FIRST_DEG, SECOND_DEG, THIRD_DEG = 318, 266, 257
STARTED_AT_ONCE = 4
LOST = FLEET[3]
"""The boat whose daemon is killed."""


@dataclass(slots=True)
class AtSea:
    """The fleet under way: settings, buses and daemons by boat, and what is heard of them all."""

    settings: dict[Boat, Path]
    buses: dict[Boat, Bus]
    runs: dict[Boat, Run]
    heard: Harbour


@asynccontextmanager
async def at_sea(folder: Path, broker: MqttSettings) -> AsyncIterator[AtSea]:
    """Start the ten, a few at a time, for a start wants a core to itself; at the end kill what runs."""
    async with AsyncExitStack() as afloat:
        heard = await afloat.enter_async_context(harbour(broker))
        buses = {boat: await afloat.enter_async_context(Bus()) for boat in FLEET}
        settings = {boat: boat.settings(folder, broker, buses[boat]) for boat in FLEET}
        fleet = AtSea(settings, buses, {}, heard)
        for first in range(0, len(FLEET), STARTED_AT_ONCE):
            some = FLEET[first : first + STARTED_AT_ONCE]
            for boat in some:
                fleet.runs[boat] = await afloat.enter_async_context(running(settings[boat]))
            for boat in some:
                await buses[boat].listener()
                await heard.heard[boat.name].until("status", '"online"')
        yield fleet


@pytest.mark.slow
async def test_ten_boats_on_one_broker(tmp_path: Path, plain: MqttSettings) -> None:
    """Entered to all at once, each is answered below her own name; one is killed, nine go on, she is back.

    The entries of all boats bear the same ids, so that an answer gone astray would be taken for another's.
    """
    async with at_sea(tmp_path, plain) as fleet:
        began = {boat: cost_of(run.process.pid) for boat, run in fleet.runs.items()}
        await sail(fleet.buses, fleet.heard, range(DEPARTS_S))
        departed = await enter(plain, ((boat, "order", boat.departure()) for boat in FLEET))
        await sail(fleet.buses, fleet.heard, range(DEPARTS_S, FIRST_S))
        first = await enter(plain, ((boat, "sighting", boat.bearing("b1", FIRST_DEG)) for boat in FLEET))
        await sail(fleet.buses, fleet.heard, range(FIRST_S, SECOND_S))

        await fleet.runs[LOST].kill()
        will = await fleet.heard.heard[LOST.name].until("status", '"offline"')
        others = {boat: bus for boat, bus in fleet.buses.items() if boat != LOST}
        second = await enter(plain, ((boat, "sighting", boat.bearing("b2", SECOND_DEG)) for boat in others))
        await sail(others, fleet.heard, range(SECOND_S, THIRD_S))

        fleet.buses[LOST].drop()
        async with running(fleet.settings[LOST]) as again:
            await fleet.buses[LOST].listener()
            await sail({LOST: fleet.buses[LOST]}, fleet.heard, range(SECOND_S, THIRD_S))
            third = await enter(plain, ((boat, "sighting", boat.bearing("b3", THIRD_DEG)) for boat in FLEET))
            repeated = await enter(plain, [(LOST, "sighting", LOST.bearing("b1", FIRST_DEG))])
            spent = {boat: cost_of(run.process.pid) for boat, run in fleet.runs.items() if boat != LOST}
            await asyncio.gather(again.terminate(), *(fleet.runs[boat].terminate() for boat in others))
    _print_costs(began, spent)

    assert '"inputs":[]' in will.replace(" ", "")
    for boat in FLEET:
        assert departed[boat]["accepted"]
        assert first[boat]["used"]
        assert boat.light in str(first[boat]["pencil"])
        assert third[boat]["fix"] == "f-b3"
    assert {boat: answer["fix"] for boat, answer in second.items()} == dict.fromkeys(others, "f-b2")
    # She was away for the second bearing, and has kept the first: a running fix of the first and the third.
    assert _fixes(fleet.heard, LOST)["f-b3"]["sightings"] == ["b1", "b3"]
    assert repeated[LOST]["repeat"]
    _keeps_to_itself(fleet.heard)


def _fixes(heard: Harbour, boat: Boat) -> dict[str, Json]:
    return {fix["id"]: fix for _, fix in heard.said(boat, "fix")}


def _keeps_to_itself(heard: Harbour) -> None:
    """Check every message: below a boat's name, answered as often as entered, of no other's name or place."""
    assert heard.strange == []
    for boat in FLEET:
        entered = [
            payload for topic, payload, _ in heard.heard[boat.name].messages if topic in {"sighting", "order"}
        ]
        answers = list(heard.said(boat, "sighting/answer", "order/answer"))
        expected = ["d1", "b1", "b2", "b3"] if boat != LOST else ["d1", "b1", "b3", "b1"]
        assert [answer["id"] for _, answer in answers] == expected
        assert len(entered) == len(answers)
        near = [place for _, report in heard.said(boat) for place in places(report)]
        assert max(abs(latitude - boat.latitude_deg) for latitude, _ in near) < NEAR_DEG
        assert max(abs(longitude - boat.longitude_deg) for _, longitude in near) < NEAR_DEG
        everything = " ".join(payload for _, payload, _ in heard.heard[boat.name].messages)
        assert [name for name in NAMES if name in everything] == [boat.name]


def _print_costs(began: dict[Boat, Cost], spent: dict[Boat, Cost]) -> None:
    """Print what each daemon has cost; the killed one is not among them."""
    for boat, cost in spent.items():
        start_s = began[boat].processor_s
        print(  # noqa: T201 -- measured
            f"{boat.name}: at most {cost.most_mb:.0f} MB, processor {start_s:.1f} s to start, "
            f"{cost.processor_s - start_s:.1f} s for {THIRD_S} s of passage"
        )
