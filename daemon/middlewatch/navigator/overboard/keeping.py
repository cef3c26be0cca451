"""Keeping the search: at each look who is overboard, the alarm, and each second the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from middlewatch.navigator.overboard import reporting
from middlewatch.navigator.overboard.search import SatelliteMark
from middlewatch.navigator.overboard.wording import CALLS_NO_ONE
from middlewatch.reports.overboard import OverboardReport

if TYPE_CHECKING:  # the chart room holds the search
    from middlewatch.navigator.chartroom import Chartroom


def keep(room: Chartroom) -> list[OverboardReport]:
    """Look round once a second; return the report while anybody is overboard, and once after that."""
    search = room.search
    search.pass_by(_by_satellite(room), room.now_ms)
    notice(room)
    gone, search.gone = search.gone, ()
    return [reporting.report(room, search.standing, gone)] if search.standing or gone else []


def notice(room: Chartroom) -> None:
    """Raise the alarm for whoever went overboard, and clear it for whoever is so no more."""
    search, casualties = room.search, room.reckoning.now.overboard
    before = {each.id: each for each in search.standing}
    for each in casualties:
        old = before.pop(each.id, None)
        if old is None or old.second != each.second:
            search.marks.pop(each.id, None)
            search.mark(each.id, each.second * 1000, _by_satellite(room))
        since = room.scale.utc(each.second * 1000).clock_with_seconds
        text = f"overboard since {since}: {reporting.lead(room, each).words}; {CALLS_NO_ONE}"
        room.alerts.raise_("overboard", each.id, "alarm", text, room.now_ms)
    for id_ in before:
        room.alerts.clear("overboard", id_, room.now_ms)
    search.standing, search.gone = casualties, (*search.gone, *before.values())
    there = {each.id for each in (*casualties, *search.gone)}
    search.marks = {id_: mark for id_, mark in search.marks.items() if id_ in there}


def _by_satellite(room: Chartroom) -> SatelliteMark | None:
    receiver = room.check.fresh(room.now_ms)
    if receiver is None:
        return None
    return SatelliteMark(receiver.name, receiver.at_ms, receiver.latitude_deg, receiver.longitude_deg)
