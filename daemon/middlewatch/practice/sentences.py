"""Sentences as the practice bus writes them: fields joined, checksum added, a TAG block in front."""

from datetime import UTC, datetime

from middlewatch.quantities.angles import direction
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.quantities.positions import Position
from middlewatch.wire.lines import checksum
from middlewatch.wire.tag import write_tag


def sentence(*fields: str) -> str:
    """Return `$`, the fields with commas between, `*` and the checksum; the first is talker and formatter."""
    text = ",".join(fields)
    return f"${text}*{checksum(text.encode('ascii'))}"


def stamped(source: str, at_ms: int, since_start_ms: int, text: str) -> bytes:
    """Return the line as a recording has it: TAG block, sentence, CR LF.

    The monotonic stamp counts from the passage's start, as if the board had been switched on then.
    """
    return write_tag(source, at_ms, since_start_ms) + f"{text}\r\n".encode("ascii")


def latitude_fields(position: Position) -> tuple[str, str]:
    """Return `ddmm.mmmmm` and N or S."""
    return _degrees_and_minutes(position.latitude_deg, 2), "S" if position.latitude_deg < 0.0 else "N"


def longitude_fields(position: Position) -> tuple[str, str]:
    """Return `dddmm.mmmmm` and E or W."""
    return _degrees_and_minutes(position.longitude_deg, 3), "W" if position.longitude_deg < 0.0 else "E"


def direction_field(angle_deg: float) -> str:
    """Return a direction as `ddd.d`."""
    # Rounded before it is brought round: 359.96 is 000.0, never 360.0.
    return f"{round(direction(angle_deg), 1) % 360.0:05.1f}"


def time_field(at_ms: int) -> str:
    """Return the time of day as `hhmmss.ss`."""
    return f"{_utc(at_ms):%H%M%S}.{at_ms % MS_PER_SECOND // 10:02d}"


def date_field(at_ms: int) -> str:
    """Return the date as `ddmmyy`."""
    return f"{_utc(at_ms):%d%m%y}"


def _utc(at_ms: int) -> datetime:
    return datetime.fromtimestamp(at_ms // MS_PER_SECOND, tz=UTC)


def _degrees_and_minutes(angle_deg: float, width: int) -> str:
    # In whole hundred-thousandths of a minute first, so that 59.999999 minutes never print as 60.
    whole = round(abs(angle_deg) * 60 * 100_000)
    degrees, rest = divmod(whole, 60 * 100_000)
    return f"{degrees:0{width}d}{rest // 100_000:02d}.{rest % 100_000:05d}"
