"""Doubts: what speaks against a receiver that says nothing against itself.

Another receiver that has her elsewhere, a speed that no small craft makes, a way that no boat makes.
"""

from __future__ import annotations

from math import hypot
from typing import TYPE_CHECKING

from middlewatch.quantities.instants import MS_PER_HOUR, MS_PER_MINUTE, MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import offset_m

if TYPE_CHECKING:  # the check asks this of itself
    from middlewatch.navigator.watch.lasting import Since
    from middlewatch.navigator.watch.receivers import Receiver
    from middlewatch.navigator.watch.satellites import Check
    from middlewatch.navigator.watch.sight import Sight

DOUBT_AFTER_MS = 20_000
RECEIVERS_APART_NM = 0.1
REMEMBERED_MS = 10 * MS_PER_MINUTE
RUN_PART = 0.1
"""So long a silent receiver's last word is held against the one that took over, and so much of the run since
log and leeway may be wrong by (judgement)."""
FASTEST_KN = 15.0
FASTER_PART, FASTER_KN = 1.5, 3.0
"""A log may show two thirds of the speed, and a boat surf; few small craft make more than the fastest through
the water, and those that do have a log that shows it (judgement). A log that shows nothing says nothing of
how fast she goes."""
SHOWS_WAY_KN = 1.0


def against(check: Check, receiver: Receiver, sight: Sight, now_ms: int) -> str | None:
    """Return what speaks against the receiver that steers, in words; None where nothing does."""
    alone = len(check.receivers) == 1
    other, off_nm = (receiver.name, 0.0) if alone else farthest(check, receiver, now_ms)
    _lasts(check.quarrel, now_ms, holds=off_nm > RECEIVERS_APART_NM)
    if check.quarrel.on and other != receiver.name:
        has = f"{other} has her {off_nm:.2f} nm from there"
        if off_nm <= RECEIVERS_APART_NM:
            has = f"{other} had her elsewhere till a moment ago"
        return f"{has}: two receivers that disagree"
    before = the_one_before(check, receiver, sight, now_ms)
    if before is not None:
        return before
    log_kn, says_kn = sight.speed_kn or 0.0, receiver.speed_kn(now_ms) or 0.0
    _lasts(check.racing, now_ms, holds=says_kn > _own_kn(log_kn) + sight.strongest_stream_kn)
    if check.racing.on:
        return f"it says {says_kn:.1f} kn over the ground, with the log at {log_kn:.1f}"
    check.turned.take(sight.heading_deg, now_ms)
    smoothness = receiver.smoothness
    return None if smoothness.follows is None else smoothness.words(check.turned.over_two_minutes)


def _own_kn(log_kn: float) -> float:
    """Return the most that the boat herself may make through the water, by what her log shows."""
    if log_kn < SHOWS_WAY_KN:
        return FASTEST_KN
    return max(log_kn + FASTER_KN, min(FASTEST_KN, FASTER_PART * log_kn + FASTER_KN))


def the_one_before(check: Check, receiver: Receiver, sight: Sight, now_ms: int) -> str | None:
    """Return, in words, that the receiver now silent had her elsewhere than the one that took over from it.

    The run since is allowed for, and what the stream and a wrong log may have made of it.
    """
    for each in check.receivers.values():
        waited_ms = now_ms - each.at_ms
        # One that fell silent while another was looked at tells nothing.
        took_over = each is not receiver and each.at_ms <= check.steering_ms
        if not took_over or each.has_position(now_ms) or waited_ms > REMEMBERED_MS:
            continue
        if check.unreckoned_ms is not None and check.unreckoned_ms >= each.at_ms:
            continue
        run_m = complex(*sight.water_m) - complex(*each.water_m)
        off_nm = abs(complex(*offset_m(each.place, receiver.place)) - run_m) / METRES_PER_NM
        may_nm = sight.strongest_stream_kn * waited_ms / MS_PER_HOUR + RUN_PART * abs(run_m) / METRES_PER_NM
        if off_nm > RECEIVERS_APART_NM + may_nm:
            return (
                f"{each.name}, silent for {waited_ms // MS_PER_SECOND} s, had her {off_nm:.2f} nm from there:"
                " two receivers that disagree"
            )
    return None


def farthest(check: Check, receiver: Receiver, now_ms: int) -> tuple[str, float]:
    """Return which other receiver has her farthest from there, and how far, nm; itself if there is none."""
    others = [
        (each.name, hypot(*offset_m(receiver.place, each.place)) / METRES_PER_NM)
        for each in check.receivers.values()
        if each is not receiver and each.has_position(now_ms)
    ]
    return max(others, key=lambda other: other[1], default=(receiver.name, 0.0))


def _lasts(since: Since, now_ms: int, *, holds: bool) -> None:
    since.watch(
        now_ms, beyond=holds, below=not holds, on_after_ms=DOUBT_AFTER_MS, off_after_ms=DOUBT_AFTER_MS
    )
