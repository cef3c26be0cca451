"""Every kind of order, and the fields it has."""

from middlewatch.wire.entry_fields import EntryFields
from middlewatch.wire.reckoning_orders import (
    ByHandFields,
    ClockFields,
    CourseFields,
    DepartureFields,
    DeviationFields,
    LeewayFields,
    LogFactorFields,
    OverboardFields,
    RecoveredFields,
    StreamFields,
    VisibilityFields,
    WayFields,
)
from middlewatch.wire.watch_orders import (
    AcknowledgeFields,
    AdoptFields,
    AmendFields,
    ConfirmFields,
    FixFields,
    QuietFields,
    RemarkFields,
    SilenceFields,
    TrustSatellitesFields,
    WithdrawFields,
)

ORDERS: dict[str, type[EntryFields]] = {
    "departure": DepartureFields,
    "way": WayFields,
    "course": CourseFields,
    "by_hand": ByHandFields,
    "leeway": LeewayFields,
    "stream": StreamFields,
    "log_factor": LogFactorFields,
    "deviation": DeviationFields,
    "adopt": AdoptFields,
    "fix": FixFields,
    "withdraw": WithdrawFields,
    "amend": AmendFields,
    "confirm": ConfirmFields,
    "trust_satellites": TrustSatellitesFields,
    "acknowledge": AcknowledgeFields,
    "silence": SilenceFields,
    "quiet": QuietFields,
    "visibility": VisibilityFields,
    "clock": ClockFields,
    "remark": RemarkFields,
    "overboard": OverboardFields,
    "recovered": RecoveredFields,
}
