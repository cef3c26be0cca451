"""What each row of the track does to those who are overboard.

By heading and log alone, whatever `way` she is ordered to: at anchor the log tells the stream that carries
the casualty away.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from middlewatch.navigator.reckoning import doubt
from middlewatch.navigator.reckoning.casualty import Casualty, Frame, Leg, unlogged_mps
from middlewatch.navigator.reckoning.integrals import untold_leeway
from middlewatch.navigator.reckoning.leeway import leeway_share
from middlewatch.navigator.reckoning.track import BRIDGED, HELD, MAGNETIC
from middlewatch.quantities.angles import unit
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT

if TYPE_CHECKING:  # the course carries the casualties
    from middlewatch.navigator.reckoning.course import Basis, Course
    from middlewatch.navigator.reckoning.track import Row

TURNED_UNHEARD, SPED_UNHEARD = 1.0, 0.5
"""What a heading, or a speed, that is run on is worth while somebody is overboard, in parts of the speed: she
may have turned any way meanwhile (judgement)."""


def pressed(course: Course, basis: Basis, id_: str, ago_s: float) -> Casualty:
    """Return the casualty at the second of the press."""
    frame, heading_deg = _heading(course, basis)
    speed_kn, row = course.speed_kn, course.row
    known = heading_deg is not None and speed_kn is not None
    mps = (speed_kn or 0.0) * METRES_PER_SECOND_PER_KNOT
    velocity = mps * complex(*unit(heading_deg or 0.0)) if known else 0j
    log_nm = None if row is None else row.log_nm
    return Casualty(
        id_, course.second, ago_s, frame, heading_deg, speed_kn, log_nm, course.ep, velocity,
        log_factor=course.log_factor, deviation=course.deviation,
    )  # fmt: skip


def led_on(course: Course, before: Row, span_s: int, basis: Basis, *, known: bool) -> tuple[Casualty, ...]:
    """Return those who are overboard as they stand after the course's row; `known` false: it ends a gap."""
    leg = _leg(course, before, span_s, basis) if known else None
    return tuple(_left(each, leg, course, span_s, counted=known) for each in course.overboard)


def calibrated(course: Course) -> tuple[Casualty, ...]:
    """Return those who are overboard as log and compass are calibrated on the course now."""
    return tuple(each.calibrated(course.log_factor, course.deviation) for each in course.overboard)


def told_of_gap(course: Course, run: complex, lasted_s: float, basis: Basis) -> tuple[Casualty, ...]:
    """Return them once a gap that was not counted is told: its run (true), and the time it may have taken."""
    magnetic = _heading(course, basis)[0] == "magnetic"
    ahead = run / abs(run) if run else 1.0 + 0j
    nothing_mps = doubt.NOTHING_KNOWN_KN * METRES_PER_SECOND_PER_KNOT
    leg = Leg(
        frame="true",
        seconds=lasted_s,
        run=run,
        ahead=ahead,
        leeway_deg=0.0,
        by_wind=False,
        untold=1.0,
        wind_mps=None,
        astray_mps=nothing_mps,
    )
    told = []
    for each in course.overboard:
        true = each.in_frame("true", course.variation_deg)
        after = None if true is None else true.left_by(leg)
        back = after if after is None or not magnetic else after.in_frame("magnetic", course.variation_deg)
        told.append(each if back is None else replace(back, lost_count=False))
    return tuple(told)


def _left(casualty: Casualty, leg: Leg | None, course: Course, span_s: int, *, counted: bool) -> Casualty:
    there = None if leg is None else casualty.in_frame(leg.frame, course.variation_deg)
    if leg is not None and there is not None:
        return there.left_by(leg)
    kn = doubt.NOTHING_KNOWN_KN if course.speed_kn is None else max(1.0, abs(course.speed_kn))
    return casualty.unknown_for(span_s, astray_mps=kn * METRES_PER_SECOND_PER_KNOT, counted=counted)


def _heading(course: Course, basis: Basis) -> tuple[Frame, float | None]:
    """Return the heading that steers, magnetic wherever it can be."""
    magnetic_deg = course.magnetic_heading_deg(basis)
    if magnetic_deg is not None:
        return "magnetic", magnetic_deg
    if course.heading_true_deg is not None:
        return "true", course.heading_true_deg
    return "magnetic", None


def _leg(course: Course, before: Row, span_s: int, basis: Basis) -> Leg | None:
    """Return the row as a leg, by heading and log; None where either is not known."""
    (frame, heading_deg), row = _heading(course, basis), course.row
    if heading_deg is None or course.speed_kn is None or row is None:
        return None
    head = complex(*unit(heading_deg))
    run = _run(course, row, before, span_s, basis)
    way = run.real * head.real + run.imag * head.imag
    ahead = run / abs(run) if run else head
    by_order = course.leeway_ordered_deg is not None
    wind_heard = row.wind_angle_deg is not None and row.wind_kn is not None
    share = leeway_share(course.wind_angle_deg) if wind_heard else None
    # At anchor nothing pushes her through the water.
    sails = not (course.held_still or course.adrift)
    return Leg(
        frame=frame,
        seconds=span_s,
        run=run,
        ahead=ahead if way >= 0.0 else -ahead,
        leeway_deg=course.leeway_deg if sails else 0.0,
        by_wind=not by_order,
        untold=untold_leeway(share, by_order=by_order) if sails else 0.0,
        wind_mps=course.wind_mps(row, head) if wind_heard else None,
        astray_mps=_astray_mps(course, row, basis),
    )


def _run(course: Course, row: Row, before: Row, span_s: int, basis: Basis) -> complex:
    """Return the run through the water over a row, in the frame of the heading."""
    frame, heading_deg = _heading(course, basis)
    from_true = complex(*unit(-(course.variation_deg or 0.0))) if frame == "magnetic" else 1.0 + 0j
    if course.adrift:
        return complex(*course.drift_m(row, span_s)) * from_true
    if course.by_hand or before.reference != row.reference:
        speed_mps = (course.speed_kn or 0.0) * METRES_PER_SECOND_PER_KNOT
        return speed_mps * span_s * complex(*unit(heading_deg or 0.0))
    run = complex(*course.sensed_m(row, before))
    return run if row.reference == MAGNETIC else run * from_true


def _astray_mps(course: Course, row: Row, basis: Basis) -> float:
    """Return what else she may do: with little way on, by silent instruments or by hand, at anchor."""
    speed_kn = course.speed_kn or 0.0
    heading_part = TURNED_UNHEARD if row.heading_state in (BRIDGED, HELD) else 0.0
    speed_part = SPED_UNHEARD if row.speed_state in (BRIDGED, HELD) else 0.0
    if course.hand_heading_deg is not None:
        heading_part = doubt.HEADING_BY_HAND
    if course.hand_speed_kn is not None or course.by_log:
        speed_part = doubt.SPEED_BY_HAND
    also_kn = 0.0
    if course.held_still:
        # She may lie to the wind with the stream from astern, and her log cannot tell.
        strongest_kn = course.strongest_stream_kn or basis.tuning.strongest_stream_kn
        also_kn = doubt.stream_kn(strongest_kn, None)
    elif course.adrift:
        also_kn = doubt.ADRIFT_KN
    return unlogged_mps(speed_kn, also_kn, heading_part * speed_kn, speed_part * speed_kn)
