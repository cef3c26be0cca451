"""The words of advice: what to sight and when, why then, which pair of the handbook fits, how she passes."""

from collections.abc import Iterator

from middlewatch.navigator.advice.next_sight import Worth, best_second
from middlewatch.navigator.advice.pair_here import pair_here
from middlewatch.navigator.advice.passing import passing
from middlewatch.navigator.advice.running_fix import bearing_deg, best_cut_deg, otherwise
from middlewatch.navigator.advice.view import View
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.quantities.angles import three_figures, whole_tens
from middlewatch.quantities.instants import MS_PER_SECOND

_LONG_HALF_AXIS = "long half axis, 95 in 100"


def advice(room: Chartroom, view: View, worth: Worth | None) -> str:
    """Return what is advised, in sentences."""
    words = _Words(room, view)
    return " ".join(words.nothing() if worth is None else words.of(worth))


class _Words:
    """The words of one look ahead."""

    def __init__(self, room: Chartroom, view: View) -> None:
        self._room, self._view, self._course = room, view, room.reckoning.now

    def nothing(self) -> Iterator[str]:
        """Say why no sight is advised."""
        unseen, spell = self._view.prospect.unseen, self._view.prospect.spell
        now_nm, then_nm = unseen[0].major_nm, unseen[spell - 1].major_nm
        area = f"the area is {now_nm:.2f} nm ({_LONG_HALF_AXIS})"
        if not self._view.sights:
            yield f"No mark is within reach in the coming half hour: {area}, and {then_nm:.2f} nm then."
            return
        yield f"No sight makes the area of the coming half hour smaller by a fifth: {area} now."

    def of(self, worth: Worth) -> Iterator[str]:
        """Say what to sight, and what belongs to it."""
        yield self._sight(worth)
        sight = worth.sight
        firsts = self._view.firsts.get(sight.mark)
        if firsts is not None and sight.kind == "bearing":
            if self._view.running == sight.mark:
                yield self._running_fix(worth)
            pair = pair_here(self._room, self._view, firsts[-1])
            if pair is not None:
                yield pair
        passes = self._passing(worth)
        if passes is not None:
            yield passes

    # --- the sight ----------------------------------------------------------------------------------------

    def _sight(self, worth: Worth) -> str:
        sight, unseen = worth.sight, self._view.prospect.unseen[worth.sight.moment]
        after = f"about {worth.hoped.major_nm:.2f} nm ({_LONG_HALF_AXIS})"
        without = f"{unseen.major_nm:.2f} nm without"
        if sight.moment == 0:
            return f"Take a {sight.kind} of {sight.mark} now: the area becomes {after}, {without}."
        if sight.kind == "range":
            return f"Take a range of {sight.mark} at {self._at(worth)}: the area becomes {after}, {without}."
        until = f"Wait until {sight.mark} bears {self._bears(worth)}, about {self._at(worth)}"
        return f"{until}: a bearing then makes the area {after}, {without}."

    def _bears(self, worth: Worth) -> str:
        """Say what bearing to wait for, in whole tens: it is nobody's reading yet, and none is lent."""
        true_deg = bearing_deg(self._view.prospect, worth.sight)
        variation_deg = self._course.variation_deg
        told = f"{three_figures(whole_tens(true_deg))} T"
        if variation_deg is None:
            return told
        # True to magnetic: east variation comes off.
        return f"{told} ({three_figures(whole_tens(true_deg - variation_deg))} M)"

    def _at(self, worth: Worth) -> str:
        return self._clock(self._view.moments[worth.sight.moment].second)

    def _clock(self, second: int) -> str:
        return self._room.scale.utc(second * MS_PER_SECOND).clock

    # --- the running fix ----------------------------------------------------------------------------------

    def _running_fix(self, advised: Worth) -> str:
        """Say which second bearing leaves the least long axis, and why it is not one earlier, nor later."""
        second = best_second(self._view.prospect, self._view.sights, advised.sight.mark)
        why = "; ".join(self._why_then(second))
        if second.sight.moment == advised.sight.moment:
            return f"That is the best second bearing for a running fix: {why}."
        then = "now" if second.sight.moment == 0 else f"at {self._bears(second)}, about {self._at(second)},"
        left = f"leaves {second.hoped.major_nm:.2f} nm"
        return f"The best second bearing for a running fix is {then} and {left}: {why}."

    def _why_then(self, second: Worth) -> Iterator[str]:
        """Say what is worse of a second bearing earlier and of one later."""
        other = otherwise(self._view.prospect, self._view.sights, second)
        if other.earliest is not None:
            bearing = bearing_deg(self._view.prospect, other.earliest.sight)
            cut = best_cut_deg(self._view.bearings_of(second.sight.mark), bearing)
            when = "now" if other.earliest.sight.moment == 0 else f"at {self._at(other.earliest)}"
            left = f"{other.earliest.hoped.major_nm:.2f} nm"
            yield f"earlier, {when}, the lines cut at {cut:.0f} degrees and leave {left}"
        if other.latest is not None:
            left = f"{other.latest.hoped.major_nm:.2f} nm"
            yield f"later, at {self._at(other.latest)}, the longer run between them leaves {left}"

    # --- passing ------------------------------------------------------------------------------------------

    def _passing(self, worth: Worth) -> str | None:
        """Say how far off the mark is passed; None where it does not come abeam within the hour."""
        sight, moments = worth.sight, self._view.moments
        base = sight.sought.mark_at + moments[sight.moment].run_m
        passes = passing(self._view.prospect, [base - moment.run_m for moment in moments])
        if passes is None:
            return None
        doubt = f"between {passes.least_nm:.1f} and {passes.most_nm:.1f} (95 in 100)"
        abeam = self._clock(passes.abeam_second)
        return f"You pass it {passes.off_nm:.1f} nm off, {doubt}, abeam at {abeam}."
