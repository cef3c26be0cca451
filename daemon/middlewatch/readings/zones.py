"""Zones: waters with a stream of their own, as the zones file lists them."""

from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.positions import Position


@dataclass(frozen=True, slots=True)
class Zone:
    """Waters in which the stream reaches `strongest_stream_kn`.

    `rings`: each closed by its first place; a place is inside where an odd number of them goes round it, so
    that a hole is a ring as well.
    """

    name: str | None
    kind: Literal["race", "river"] | None
    strongest_stream_kn: float
    rings: tuple[tuple[Position, ...], ...]
