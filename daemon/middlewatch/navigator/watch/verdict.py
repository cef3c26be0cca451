"""The verdict in words: the likeliest cause, its rival, their evidence, and what a sight did to them."""

from collections.abc import Mapping

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.watch.amiss import plainly_no_stream
from middlewatch.navigator.watch.causes import Cause
from middlewatch.readings.entries import Amend, Order, Withdraw
from middlewatch.reports.satellite import CauseReport

_UNEXPLAINED = frozenset({"wide", "doubtful", "lost", "still"})
"""What nothing need have made: a receiver that doubts itself is not to be talked into a stream; nor is a gap
past the limit told a cause unless it is plain."""
_WORDS: dict[Cause, str] = {
    "entry": "an entry",
    "satellite": "the satellites",
    "log": "the log",
    "compass": "the compass",
    "stream": "a stream",
}


def tell(room: Chartroom, settled: str, turned_by: str) -> None:
    """Say the likeliest cause and its rival, each with its evidence, beside what stands of the satellites.

    `settled`: what a sight did to the causes a moment ago, in words; `turned_by`: it, where it put another
    first.
    """
    causes = room.check.causes
    words: list[str] = []
    in_short = ""
    wide = room.alerts.stands("satellite", "wide") and plainly_no_stream(room.check)
    if len(causes) > 1 and (wide or room.alerts.speaks("satellite", besides=_UNEXPLAINED)):
        first, rival = causes[:2]
        words.append(
            f"likeliest {_WORDS[first.cause]} ({_percent(first.weight)}: {first.evidence}), "
            f"else {_WORDS[rival.cause]} ({_percent(rival.weight)}: {rival.evidence})"
        )
        in_short = f"likeliest {_WORDS[first.cause]} ({_percent(first.weight)})"
        if settled:
            words.append(settled)
        if turned_by:
            in_short += f" by {turned_by}"
    room.alerts.beside("satellite", "; ".join(words), in_short)


def newest_sight(room: Chartroom, entries: int) -> str | None:
    """Name the newest sighting that was made, amended or withdrawn since there were so many entries."""
    made = list(room.ledger.entries.values())[-(room.ledger.worked - entries) :]
    named = (_sight(room, each) for each in reversed(made if entries < room.ledger.worked else []))
    return next((words for words in named if words is not None), None)


def _sight(room: Chartroom, logged: Logged) -> str | None:
    """Name the sighting that an entry is, or is about."""
    request, about = logged.said.request, None if logged.answer is None else logged.answer.about
    if not isinstance(request, Order):
        return f"{logged.said.kind} {logged.id}"
    sight = None if about is None else room.ledger.entries.get(about)
    if sight is None or isinstance(sight.said.request, Order) or not isinstance(request, Amend | Withdraw):
        return None
    return f"{sight.said.kind} {sight.id} {'amended' if isinstance(request, Amend) else 'withdrawn'}"


def settled_by(sight: str, before: Mapping[Cause, float], causes: tuple[CauseReport, ...]) -> str:
    """Say what a sight did to each cause."""
    changes = [
        f"{_WORDS[each.cause]} {_percent(before.get(each.cause, 0.0))} to {_percent(each.weight)}"
        for each in causes
        if _percent(before.get(each.cause, 0.0)) != _percent(each.weight)
    ]
    return f"{sight} made of the causes: " + (", ".join(changes) or "nothing new")


def _percent(weight: float) -> str:
    whole = round(100.0 * weight)
    return "under 1 %" if whole < 1 else "over 99 %" if whole > 99 else f"{whole} %"
