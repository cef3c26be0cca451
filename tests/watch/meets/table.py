"""The table: every situation, by what it is about."""

from watch.meets import drawn_off, entered, instruments, lying, overhead, receivers, restarts, sailing, waters
from watch.meets.row import Row

ROWS: tuple[Row, ...] = (
    *lying.ROWS,
    *sailing.ROWS,
    *instruments.ROWS,
    *waters.ROWS,
    *overhead.ROWS,
    *receivers.ROWS,
    *entered.ROWS,
    *restarts.ROWS,
    *drawn_off.ROWS,
)
