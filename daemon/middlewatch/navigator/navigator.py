"""The navigator: a function of what came in, in order, each with its own time; `step()` is its door."""

from collections.abc import Callable, Mapping
from math import hypot
from typing import Any

from middlewatch.navigator import reporting
from middlewatch.navigator.advice.advising import advise, heed
from middlewatch.navigator.area.dangers import Coast
from middlewatch.navigator.area.keeping import Area, priors
from middlewatch.navigator.chartroom import Chartroom, Reader
from middlewatch.navigator.deck_log import clock
from middlewatch.navigator.deck_log.entering import enter, work
from middlewatch.navigator.deck_log.ledger import Ledger
from middlewatch.navigator.deck_log.working import rework_crossed
from middlewatch.navigator.freezing import frozen, thawed
from middlewatch.navigator.keeping import (
    Kept,
    Snapshot,
    kept_entry,
    kept_fix,
    kept_report,
    kept_standing,
    restore,
)
from middlewatch.navigator.overboard import keeping as overboard
from middlewatch.navigator.position.plot import Plot
from middlewatch.navigator.reckoning import gaps
from middlewatch.navigator.reckoning.card import Card
from middlewatch.navigator.reckoning.course import ADRIFT, HELD_STILL, Course
from middlewatch.navigator.reckoning.instruments import Instruments
from middlewatch.navigator.reckoning.reckoning import Reckoning
from middlewatch.navigator.reckoning.track import HELD, WaterTrack
from middlewatch.navigator.timescale import Timescale
from middlewatch.navigator.tuning import Tuning
from middlewatch.navigator.watch import alert_commands, clearing, lookout, watchkeeping
from middlewatch.navigator.watch.alerts import Alerts
from middlewatch.navigator.watch.budget import odds
from middlewatch.navigator.watch.satellites import Check
from middlewatch.navigator.watch.sight import Sight
from middlewatch.navigator.watch.spells import StreamByOrder
from middlewatch.navigator.watch.watchkeeping import Watch
from middlewatch.quantities.instants import MS_PER_SECOND, Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings import Reading
from middlewatch.readings.entries import Entry
from middlewatch.readings.marks import Mark
from middlewatch.readings.sentences import (
    AlertCommand,
    ApparentWind,
    Attitude,
    Depth,
    Heading,
    LogTotal,
    Satellite,
    TurnRate,
    WaterSpeed,
)
from middlewatch.readings.watch import ClockChange, Fault, Started, Tick
from middlewatch.reports import Report
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.area import AreaReport
from middlewatch.reports.fix import FixReport

WORKED_AGAIN_S = 48 * 3600
"""So far back the reckoning can be worked again; older rows of the track are the journal's alone, thinned."""

FORGET_EVERY_S = 12 * 3600
"""Not more often: the area's cloud begins anew then, and all sightings since are worked again."""


class Navigator:
    """The pure core: state, and one table from reading type to what is done with it."""

    def __init__(self, tuning: Tuning, marks: Mapping[str, Mark], reader: Reader) -> None:
        scale, track = Timescale(), WaterTrack()
        reckoning = Reckoning(tuning, track, lambda second: scale.utc(second * MS_PER_SECOND))
        self.room = Chartroom(
            tuning=tuning,
            marks=marks,
            reader=reader,
            scale=scale,
            track=track,
            instruments=Instruments(),
            reckoning=reckoning,
            ledger=Ledger(),
            plot=Plot(),
            area=Area(reckoning, priors(tuning), tuning.seed, tuning.samples),
            coast=Coast(tuning.dangers),
            check=Check(),
            alerts=Alerts(),
            sensor_card=Card(tuning.sensor_card),
            steering_card=Card(tuning.steering_card),
        )
        self._watch = Watch()
        self._odds = odds(tuning.false_warning_h, tuning.false_caution_h)
        self._kept = Kept()
        self._row_kept = -1
        self._does: dict[type, Callable[[Any], tuple[Report, ...]]] = {
            Heading: self._heading,
            WaterSpeed: self._water_speed,
            LogTotal: self._log_total,
            ApparentWind: self._wind,
            Satellite: self._satellite,
            Depth: self._nothing_yet,
            TurnRate: self._nothing_yet,
            Attitude: self._nothing_yet,
            AlertCommand: self._alert_command,
            Tick: self._tick,
            Entry: self._entry,
            Fault: self._fault,
            ClockChange: self._clock_change,
            Started: self._started,
        }

    def step(self, reading: Reading) -> tuple[Report, ...]:
        """Take one reading and return what there is to say."""
        return self._does[type(reading)](reading)

    # --- the bus --------------------------------------------------------------------------------------

    def _heading(self, reading: Heading) -> tuple[Report, ...]:
        room = self.room
        room.instruments.hear_heading(reading, room.sensor_card, hdm_corrected=room.tuning.hdm_corrected)
        return ()

    def _water_speed(self, reading: WaterSpeed) -> tuple[Report, ...]:
        self.room.instruments.hear_speed(reading)
        return ()

    def _log_total(self, reading: LogTotal) -> tuple[Report, ...]:
        self.room.instruments.hear_log(reading)
        return ()

    def _wind(self, reading: ApparentWind) -> tuple[Report, ...]:
        self.room.instruments.hear_wind(reading)
        return ()

    def _satellite(self, reading: Satellite) -> tuple[Report, ...]:
        room, now = self.room, self.room.reckoning.now
        room.check.hear(reading, (now.dr_north_m, now.dr_east_m), room.strongest_stream_kn)
        return ()

    def _nothing_yet(self, reading: Depth | TurnRate | Attitude) -> tuple[Report, ...]:  # noqa: ARG002 -- one shape for the table
        """Hear what nothing is made of so far: soundings, rate of turn, heel."""
        return ()

    def _alert_command(self, reading: AlertCommand) -> tuple[Report, ...]:
        alert_commands.obey(self.room, reading)
        return ()

    # --- the second -----------------------------------------------------------------------------------

    def _tick(self, reading: Tick) -> tuple[Report, ...]:
        room = self.room
        room.now_ms = reading.at_ms
        for name, words in zip(("heading", "log"), room.instruments.reconsider(reading.at_ms), strict=True):
            if words is not None:
                watchkeeping.source_changed(room, "heading" if name == "heading" else "log", words)
        room.track.append(room.instruments.close_second(reading.at_ms))
        room.reckoning.run_on()
        if reading.at_ms // MS_PER_SECOND % FORGET_EVERY_S == 0:
            self.forget_before(reading.at_ms // MS_PER_SECOND - WORKED_AGAIN_S)
        water_m = room.reckoning.now.dr_north_m, room.reckoning.now.dr_east_m
        crossed = len(room.crossed)
        gaps.told_by_log(room, reading.at_ms)
        clock.by_satellites(room)
        gaps.over(room, reading.at_ms)
        room.check.water_reworked(water_m, (room.reckoning.now.dr_north_m, room.reckoning.now.dr_east_m))
        fixes = rework_crossed(room, crossed)
        # What waited for this second is worked before the second is reported.
        due = room.ledger.due(reading.at_ms // MS_PER_SECOND)
        answers = [report for logged in due for report in work(room, logged)]
        area, ahead = room.area.tick(), self._watch.lookout
        room.check.tick(reading.at_ms, self._sight(area))
        watchkeeping.keep(room, self._watch)
        lookout.keep(room, ahead, area)
        clearing.keep(room)
        adrift = overboard.keep(room)
        position = reporting.position(room, area, ahead, little_way=self._watch.little_way.on)
        said = [position, reporting.satellite(room), *adrift, *fixes, *answers, *advise(room)]
        return self._said(reading.at_ms, said)

    def forget_before(self, before: int) -> None:
        """Forget what will not be worked again, to the checkpoint before a second."""
        room = self.room
        base = room.reckoning.checkpoint_before(before)
        if base is not None:
            room.area.forget_before(base.second, room.plot.lines.values(), room.ledger.open_ids())
            room.reckoning.forget_before(base)

    def _sight(self, area: AreaReport | None) -> Sight:
        room, now = self.room, self.room.reckoning.now
        strongest_kn = room.strongest_stream_kn
        steered = now.row is not None and HELD not in (now.row.heading_state, now.row.speed_state)
        return Sight(
            ep=None if now.ep is None else Position(*now.ep),
            water_m=(now.dr_north_m, now.dr_east_m),
            # What a log turns at anchor is the stream's: a receiver that lies still is right then.
            speed_kn=None if now.way in HELD_STILL else now.speed_kn,
            heading_deg=now.heading_true_deg,
            reckoned=now.heading_true_deg is not None and now.speed_kn is not None and not now.waiting,
            # By a heading or speed that is held, a turn or a stop would be taken for a stream.
            sailing=now.way not in (*HELD_STILL, *ADRIFT) and (now.by_hand or steered),
            area=area,
            limit_nm=room.tuning.limit_nm,
            strongest_stream_kn=strongest_kn,
            rough=strongest_kn > room.tuning.strongest_stream_kn,
            waiting=now.waiting,
            manoeuvring=now.way == "manoeuvring",
            odds=self._odds,
            ep_run_m=(now.ep_north_m, now.ep_east_m),
            heading_by_hand=now.hand_heading_deg is not None,
            speed_by_hand=now.hand_speed_kn is not None or now.by_log,
            stream_ordered=None if now.stream is None else StreamByOrder.of(now.stream),
            newest_entry=room.ledger.newest_id,
            ep_sd_nm=_ep_sd_nm(now, strongest_kn),
        )

    # --- the skipper ----------------------------------------------------------------------------------

    def _entry(self, reading: Entry) -> tuple[Report, ...]:
        reports = enter(self.room, reading)
        lookout.notice(self.room, self._watch.lookout)
        overboard.notice(self.room)
        return self._said(reading.heard_ms, reports)

    # --- the watch ------------------------------------------------------------------------------------

    def _fault(self, reading: Fault) -> tuple[Report, ...]:
        if reading.failed:
            said = reading.text
            self.room.alerts.raise_(
                reading.subject, reading.name, "caution", said, reading.at_ms, reason=said
            )
        else:
            self.room.alerts.clear(reading.subject, reading.name, reading.at_ms)
        return self._said(reading.at_ms, [])

    def _clock_change(self, reading: ClockChange) -> tuple[Report, ...]:
        self.room.scale.set_on(reading.at_ms, reading.by_ms)
        self._doubt(f"it was set by {reading.by_ms / 1000:+.1f} s: {reading.why}", reading.at_ms)
        return self._said(reading.at_ms, [])

    def _started(self, reading: Started) -> tuple[Report, ...]:
        if reading.clock_doubt is not None:
            self._doubt(reading.clock_doubt, reading.at_ms)
        self.room.alerts.say_again()
        if self.now_ms and not self.runs_through(reading):
            gaps.begin(self.room, reading.at_ms, known=reading.gap_known)
            self.room.check.receivers.clear()  # how long they went unheard is not known
            self.room.instruments.wait(reading.at_ms)
            self._watch.logs = None  # the total has grown meanwhile, and the speed is not summed
        return self._said(reading.at_ms, [])

    def runs_through(self, reading: Started) -> bool:
        """Return whether the ticks of the gap behind a start are to come: it is known, and not too long."""
        return reading.gap_known and reading.at_ms - self.now_ms <= gaps.LONGEST_MS

    def _doubt(self, why: str, at_ms: int) -> None:
        self.room.scale.doubtful = why
        text = f"the clock is doubtful: {why}; order clock, or trust no time of day"
        self.room.alerts.raise_("clock", "doubtful", "caution", text, at_ms, reason=why)

    def utc(self, scale_ms: int) -> Instant:
        """Return the UTC of a moment of the scale."""
        return self.room.scale.utc(scale_ms)

    def chosen_for(self, input_name: str) -> tuple[str, ...]:
        """Return the quantities that are steered by a source on this input."""
        choices = self.room.instruments.heading, self.room.instruments.speed
        return tuple(
            c.quantity for c in choices if c.chosen is not None and c.chosen.endswith(f"@{input_name}")
        )

    def steering(self) -> tuple[str | None, str | None]:
        """Return the sources that steer heading and speed, None where nothing is heard."""
        return self.room.instruments.heading.chosen, self.room.instruments.speed.chosen

    @property
    def clock_doubt(self) -> str | None:
        """Why the clock is not to be believed, None where it is."""
        return self.room.scale.doubtful

    @property
    def now_ms(self) -> int:
        """The last second worked, in ms of the scale."""
        return self.room.now_ms

    # --- what is kept ---------------------------------------------------------------------------------

    @property
    def has_kept(self) -> bool:
        """Whether something has come that the journal is to keep at once."""
        return bool(self._kept.entries or self._kept.events)

    def _said(self, at_ms: int, reports: list[Report]) -> tuple[Report, ...]:
        """Add the alerts that changed, and set aside what the journal is to keep."""
        room = self.room
        if room.alerts.changed or room.alerts.answered:
            reports += room.alerts.told(at_ms, room.scale, room.ordered.quiet_until_ms)
        self._kept.entries += [kept_entry(logged) for logged in room.arrived]
        self._kept.events += [
            kept_standing(at_ms, logged, room.plot.lines.get(logged.id)) for logged in room.changed
        ]
        heed(room.advised, room.changed, reports)
        for report in reports:
            if isinstance(report, FixReport):
                self._kept.events.append(kept_fix(at_ms, room.plot.every[report.id]))
            elif isinstance(report, AlertReport):
                self._kept.events.append(kept_report(at_ms, "alert", report))
        room.arrived.clear()
        room.changed.clear()
        return tuple(reports)

    def drain(self) -> Kept:
        """Return what has come since last asked and is to be kept: entries, events, rows of the track."""
        kept, self._kept = self._kept, Kept()
        track = self.room.track
        kept.rows = track.rows[track.index(self._row_kept) + 1 :]
        self._row_kept = self._row_kept if track.last_second is None else track.last_second
        return kept

    def freeze(self) -> str:
        """Return the small state, without track and ledger, as text: equal histories, equal texts."""
        room = self.room
        return frozen(
            Snapshot(
                room.reckoning.base if room.reckoning.base.second >= 0 else None,
                room.area.forgotten,
                room.now_ms,
                room.scale,
                room.instruments,
                room.check,
                room.alerts,
                room.ordered,
                room.advised,
                room.gap,
                tuple(room.crossed),
                self._watch,
                room.search,
            )
        )

    def thaw(self, snapshot: str, kept: Kept) -> None:
        """Take up, in a new navigator, where the kept entries, events, rows and the snapshot left off."""
        self._watch = restore(self.room, thawed(Snapshot, snapshot), kept)
        last = self.room.track.last_second
        self._row_kept = -1 if last is None else last


def _ep_sd_nm(course: Course, strongest_kn: float) -> float:
    """Return how well the EP is known by its origin and the run since: one standard deviation an axis.

    5 % of the run, and a stream of less than half the strongest (the design's section 4).
    """
    if course.origin is None:
        return 0.0
    hours = (course.second - course.origin.second) / 3600.0
    return hypot(course.origin.sd_nm, 0.05 * course.run_nm, 0.45 * strongest_kn * hours)
