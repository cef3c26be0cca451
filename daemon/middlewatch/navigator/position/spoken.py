"""Figures as a navigator speaks and writes them."""

from middlewatch.quantities.positions import Position


def three_figures(direction_deg: float) -> str:
    """Write a direction in three figures: `005`; what rounds to 360 is 000."""
    return f"{round(direction_deg) % 360:03d}"


def latitude_longitude(position: Position) -> str:
    """Write a position in degrees and minutes to a hundredth: `50 03.12 N 004 12.34 W`."""
    latitude, longitude = position.latitude_deg, position.longitude_deg
    return (
        f"{_degrees_minutes(latitude, width=2)} {'N' if latitude >= 0 else 'S'}"
        f" {_degrees_minutes(longitude, width=3)} {'E' if longitude >= 0 else 'W'}"
    )


def _degrees_minutes(angle_deg: float, width: int) -> str:
    # In whole hundredths of a minute, so that no minute is ever written as 60.00.
    degrees, hundredths = divmod(round(abs(angle_deg) * 6000), 6000)
    return f"{degrees:0{width}d} {hundredths / 100:05.2f}"
