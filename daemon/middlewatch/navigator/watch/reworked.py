"""Reworked: an order that changes the past changes how the receiver moved against the run of then.

A heading by hand that was wrong, or a stream laid off the wrong way round, makes the receiver seem to move.
Once it is withdrawn or amended nothing of it is left in the run, and nothing of it is held against anybody.
"""

from collections.abc import Iterable
from math import hypot

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.watch.spells import SPELL_S, Spell, StreamByOrder, knots
from middlewatch.quantities.angles import direction_of

OTHERWISE_KN = 0.1
"""By so much a spell's run must come out otherwise: it was summed second by second, less what leapt."""
SHOWS_A_HEADING_KN = 0.3


def rework(room: Chartroom, from_second: int) -> None:
    """Hold what is kept of the receiver's way since a second against the run as it now is."""
    spells, reworked = room.check.spells, list(_again(room, from_second))
    if reworked != spells.kept:
        spells.kept = reworked
        spells.begin_anew()  # what it holds so far was seen against the other run


def _again(room: Chartroom, from_second: int) -> Iterable[Spell]:
    for spell in room.check.spells.kept:
        reworked = spell if spell.second <= from_second else _as_it_stands(room, spell)
        if reworked is not None:
            yield reworked


def _as_it_stands(room: Chartroom, spell: Spell) -> Spell | None:
    """Return a spell as it stands now; None where its run is not known any more."""
    reckoning, began = room.reckoning, spell.second - SPELL_S
    water_m, laid_m = (told(began, spell.second) for told in (reckoning.water_run_m, reckoning.laid_m))
    if water_m is None or laid_m is None:
        return None
    water, laid = knots(water_m, SPELL_S), knots(laid_m, SPELL_S)
    orders = reckoning.by_order_at(spell.second)
    heading_by_hand, speed_by_hand = orders.heading, orders.speed or orders.log
    by_hand = heading_by_hand, speed_by_hand
    ordered = None if orders.stream is None else StreamByOrder.of(orders.stream)
    as_before = (by_hand, ordered) == ((spell.heading_by_hand, spell.speed_by_hand), spell.ordered)
    if as_before and max(_apart_kn(water, spell.water), _apart_kn(laid, spell.laid)) < OTHERWISE_KN:
        return spell
    north, east = (spell.apart[axis] + spell.water[axis] - water[axis] for axis in (0, 1))
    goes = hypot(*water) > SHOWS_A_HEADING_KN
    return Spell(
        spell.second,
        (round(north, 3), round(east, 3)),
        water,
        laid,
        round(direction_of(*water), 1) if goes else spell.heading_deg,
        # What stepped by order is no step of the sensor.
        spell.log_stepped and speed_by_hand == spell.speed_by_hand,
        spell.turned and heading_by_hand == spell.heading_by_hand,
        heading_by_hand,
        speed_by_hand,
        ordered,
    )


def _apart_kn(one: tuple[float, float], other: tuple[float, float]) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])
