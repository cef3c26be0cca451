"""The kinds of fault: how each is laid over a passage from its onset on, with the size it has by its seed."""

from math import radians, sin

import numpy as np

from area.model import Chance
from middlewatch.quantities.positions import radii_m
from watch.faults.draft import ADOPTED_AFTER_S, NM, START, Draft, Kind, Lights, unit
from watch.faults.sea import Needs, grown, tide_line
from watch.sailed import KN

# --- satellite ----------------------------------------------------------------------------------------------


def pulled(draft: Draft, draw: Chance) -> None:
    """Draw the receiver away at 1 to 5 kn, whichever way."""
    draft.told_m = np.asarray(draft.since * draw.uniform(1.0, 5.0) * _any_way(draw) * KN)


def jumped(draft: Draft, draw: Chance) -> None:
    """Let it jump by 0.3 to 3 nm, and stay off."""
    draft.told_m = np.asarray((draft.since > 0) * draw.uniform(0.3, 3.0) * _any_way(draw) * NM)


def frozen(draft: Draft, draw: Chance) -> None:  # noqa: ARG001 -- one shape for all kinds
    """Let it say the same for ever."""
    draft.stands_from = draft.onset


# --- log ----------------------------------------------------------------------------------------------------


def stopped(draft: Draft, draw: Chance) -> None:  # noqa: ARG001 -- one shape for all kinds
    """Stop the wheel."""
    draft.log_kn = np.where(draft.since > 0, 0.0, draft.log_kn)


def fouled(draft: Draft, draw: Chance) -> None:
    """Catch weed within 20 s: the log shows a third to two thirds too little."""
    lost = draw.uniform(1 / 3, 2 / 3) * grown(draft.seconds, draft.onset, draw.uniform(1.0, 20.0))
    draft.log_kn = draft.log_kn * (1.0 - lost)


def over_reading(draft: Draft, draw: Chance) -> None:  # noqa: ARG001 -- one shape for all kinds
    """Let the log show a third too much."""
    draft.log_kn = draft.log_kn * np.where(draft.since > 0, 4 / 3, 1.0)


# --- compass ------------------------------------------------------------------------------------------------


def stepped_by_hand(draft: Draft, draw: Chance) -> None:
    """Step what the compass shows by 12 to 40 degrees; by hand the boat is steered straight on."""
    draft.shown_deg = draft.shown_deg + (draft.since > 0) * _step(draw)


def stepped_on_autopilot(draft: Draft, draw: Chance) -> None:
    """Step the compass by 12 to 40 degrees; the autopilot turns the boat, and what is shown stays."""
    turned = _step(draw) * grown(draft.seconds, draft.onset, draw.uniform(8.0, 20.0))
    draft.heading_deg = draft.heading_deg - turned


def stuck(draft: Draft, draw: Chance) -> None:  # noqa: ARG001 -- one shape for all kinds
    """Let the compass show one heading for ever."""
    draft.shown_deg = np.where(draft.since > 0, draft.shown_deg[draft.onset], draft.shown_deg)


# --- stream -------------------------------------------------------------------------------------------------


def tide_turns(draft: Draft, draw: Chance) -> None:
    """Let the stream reverse within 20 to 40 minutes, to 0.8 to 1.6 kn the other way."""
    stream = draft.stream_kn[draft.onset]
    other_way = -stream / abs(stream) * draw.uniform(0.8, 1.6)
    turned = grown(draft.seconds, draft.onset, draw.uniform(1200.0, 2400.0))
    # As a tide turns: slowly at first, and slowly at last.
    share = (1.0 - np.cos(np.pi * turned)) / 2.0
    draft.stream_kn = draft.stream_kn * (1.0 - share) + other_way * share


def line_crossed(draft: Draft, draw: Chance) -> None:
    """Cross a tide line: 0.5 to 1 kn of other stream, within half a minute to three minutes."""
    line = tide_line(draw, 0.5)
    draft.stream_kn = draft.stream_kn + line * grown(draft.seconds, draft.onset, draw.uniform(30.0, 180.0))


# --- entry --------------------------------------------------------------------------------------------------


def departs(draft: Draft, draw: Chance) -> None:  # noqa: ARG001 -- one shape for all kinds
    """Let the crew enter a new departure at the onset, good to half a cable."""
    draft.departs = True


def departure_wrong(draft: Draft, draw: Chance) -> None:
    """Type a digit of that departure wrong: half a mile to two miles off, north or south, east or west."""
    meridional_m, parallel_m = radii_m(START.latitude_deg)
    axis, mile = (1.0 + 0j, 1.0) if draw.random() < 0.5 else (1j, parallel_m / meridional_m)
    minutes = [each for each in (0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 2.0, 3.0) if 0.5 <= each * mile <= 2.0]
    draft.departs_off_nm = float(draw.choice((-1, 1)) * draw.choice(minutes)) * mile * axis
    draft.ep_m = np.asarray((draft.since > 0) * draft.departs_off_nm * NM)


def lights_sighted(draft: Draft, draw: Chance) -> None:
    """Let the crew take two lights at the onset, and have a third 5 to 20 degrees from the second.

    The one taken for the other would move the fix by half a mile to two miles.
    """
    while True:
        second_nm, off_deg = draw.uniform(2.5, 9.0), draw.uniform(5.0, 20.0)
        if 0.5 < second_nm * sin(radians(off_deg)) < 2.0:
            break
    first_deg, cut_deg = draw.uniform(0.0, 360.0), draw.choice((-1, 1)) * draw.uniform(60.0, 110.0)
    second_deg = first_deg + cut_deg
    draft.lights = Lights(
        first_deg=first_deg,
        first_nm=draw.uniform(2.5, 7.0),
        second_deg=second_deg,
        second_nm=second_nm,
        neighbour_deg=second_deg + draw.choice((-1, 1)) * off_deg,
        neighbour_nm=second_nm * draw.uniform(0.8, 1.3),
    )


def wrong_light(draft: Draft, draw: Chance) -> None:  # noqa: ARG001 -- one shape for all kinds
    """Take the bearing of the neighbouring light for that of the light meant; the fix is adopted."""
    lights = draft.lights
    assert lights is not None
    draft.mistaken = True
    off_nm = lights.second_nm * sin(radians(lights.neighbour_deg - lights.second_deg))
    draft.ep_m = (
        (draft.since > ADOPTED_AFTER_S) * off_nm * NM * np.exp(1j * radians(lights.second_deg + 90.0))
    )


def stream_ordered(draft: Draft, draw: Chance) -> None:
    """Order the stream as it is at the onset, as well as a tidal atlas knows it."""
    stream = draft.stream_kn[draft.onset]
    set_deg = float(np.degrees(np.angle(stream)) + draw.normal(0.0, 15.0)) % 360.0
    drift_kn = max(0.4, abs(stream) + draw.normal(0.0, 0.2))
    draft.order(draft.onset, "stream", set_deg=round(set_deg) % 360, drift_kn=round(drift_kn, 1))


def stream_backwards(draft: Draft, draw: Chance) -> None:  # noqa: ARG001 -- one shape for all kinds
    """Order that stream the wrong way round: where it comes from for where it goes to."""
    right = draft.entries.pop()
    set_deg, drift_kn = (float(str(right.body[each])) for each in ("set_deg", "drift_kn"))
    draft.order(draft.onset, "stream", set_deg=(set_deg + 180.0) % 360.0, drift_kn=drift_kn)
    draft.ep_m = -2.0 * draft.since * drift_kn * KN * np.exp(1j * radians(set_deg))


def steered_by_hand(draft: Draft, draw: Chance) -> None:
    """Reckon by a speed by hand for a while, and give the log back as she slows down at the onset."""
    begins = draft.onset - int(draw.uniform(300, 900))
    draft.order(begins, "by_hand", speed_kn=round(float(draft.log_kn[begins]), 1))
    draft.order(draft.onset, "by_hand", speed_kn=None)


def hand_forgotten(draft: Draft, draw: Chance) -> None:  # noqa: ARG001 -- one shape for all kinds
    """Forget to give it back."""
    draft.entries.pop()
    by_hand_kn = float(str(draft.entries[-1].body["speed_kn"]))
    off_kn = np.where(draft.since > 0, by_hand_kn - draft.log_kn, 0.0) * unit(draft.shown_deg)
    draft.ep_m = np.asarray(np.cumsum(off_kn) * KN)


def nothing(draft: Draft, draw: Chance) -> None:
    """Leave all well."""


def _any_way(draw: Chance) -> complex:
    way: complex = np.exp(1j * draw.uniform(0.0, 2 * np.pi))
    return way


def _step(draw: Chance) -> float:
    return float(draw.choice((-1, 1)) * draw.uniform(12.0, 40.0))


QUIET = Kind("quiet", None, nothing, Needs(lines="any"))
KINDS = (
    Kind("pulled", "satellite", pulled),
    Kind("jumped", "satellite", jumped),
    Kind("frozen", "satellite", frozen),
    Kind("log stopped", "log", stopped),
    Kind("log fouled", "log", fouled),
    Kind("log over-reading", "log", over_reading),
    Kind("compass stepped, by hand", "compass", stepped_by_hand, Needs(autopilot=False)),
    Kind("compass stepped, autopilot", "compass", stepped_on_autopilot, Needs(autopilot=True)),
    Kind("compass stuck", "compass", stuck, Needs(turn=True, autopilot=False)),
    Kind("tide turns", "stream", tide_turns, Needs(lines="none")),
    Kind("tide line", "stream", line_crossed, Needs(lines="none")),
    Kind("departure wrong", "entry", departure_wrong, prepare=departs),
    Kind("wrong light", "entry", wrong_light, Needs(marks=True), prepare=lights_sighted),
    Kind(
        "stream backwards",
        "entry",
        stream_backwards,
        Needs(strong_tide=True, lines="none"),
        prepare=stream_ordered,
    ),
    Kind("by hand forgotten", "entry", hand_forgotten, Needs(slows=True), prepare=steered_by_hand),
)
"""Each has an equal share of the passages."""
BY_NAME = {kind.name: kind for kind in (*KINDS, QUIET)}
