"""Reports: everything that is said, as INTERFACE words it."""

from middlewatch.reports.advice import AdviceReport
from middlewatch.reports.alert import AlertReport, CommandReport, SoundReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.fix import FixReport
from middlewatch.reports.overboard import OverboardReport
from middlewatch.reports.position import PositionReport
from middlewatch.reports.satellite import SatelliteReport

Report = (
    PositionReport
    | FixReport
    | SatelliteReport
    | AdviceReport
    | AlertReport
    | SoundReport
    | CommandReport
    | OverboardReport
    | Answer
)
