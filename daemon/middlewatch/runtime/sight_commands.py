"""`middlewatch sight`: what the skipper saw, a command for each kind of sighting."""

from functools import partial
from typing import Annotated

import typer

from middlewatch.links.sender import Body
from middlewatch.runtime import spoken
from middlewatch.runtime.sending import OneLineGroup, entry_command, given

sight = typer.Typer(cls=OneLineGroup, help="Enter a sighting, and print the line of position it makes.")
_sighting = partial(entry_command, sight, "sighting")

MarkTyped = Annotated[str, typer.Argument(help="a mark's name, or its position as 50.1N,4.2W")]
Reference = Annotated[str | None, typer.Option(help="magnetic (default), true, compass or relative")]
SdNm = Annotated[str | None, typer.Option(help="its doubt, one sigma in nautical miles")]


@_sighting("bearing")
def bearing(
    mark: Annotated[
        str,
        typer.Argument(
            help="a mark's name or position (50.1N,4.2W); - for a light not known yet, with --note"
        ),
    ],
    degrees: Annotated[str, typer.Argument(help="the bearing, from the boat to the mark")],
    reference: Reference = None,
    sd: Annotated[str | None, typer.Option(help="its doubt, one sigma in degrees")] = None,
) -> Body:
    """Enter a bearing: by hand-bearing compass, unless --reference says otherwise."""
    seen = None if mark == "-" else spoken.mark(mark)
    bearing_deg = spoken.number("bearing", degrees)
    return given(mark=seen, bearing_deg=bearing_deg, reference=reference, sd_deg=spoken.number_if("sd", sd))


@_sighting("range")
def distance_off(
    mark: MarkTyped,
    miles: Annotated[str, typer.Argument(help="the distance off, in nautical miles")],
    sd: SdNm = None,
) -> Body:
    """Enter a distance off a mark."""
    distance_nm = spoken.number("distance", miles)
    return given(mark=spoken.mark(mark), distance_nm=distance_nm, sd_nm=spoken.number_if("sd", sd))


@_sighting("transit")
def transit(
    front: MarkTyped,
    rear: MarkTyped,
    sd: Annotated[str | None, typer.Option(help="how well they are judged in line, minutes of arc")] = None,
) -> Body:
    """Enter two marks in line, the nearer one first."""
    return given(mark=spoken.mark(front), rear_mark=spoken.mark(rear), sd_min=spoken.number_if("sd", sd))


@_sighting("passing")
def passing(
    mark: MarkTyped,
    side: Annotated[str, typer.Argument(help="port or starboard: on which side of the boat the mark was")],
    metres: Annotated[str, typer.Argument(help="the distance off, in metres")],
) -> Body:
    """Enter a mark passed close."""
    return given(mark=spoken.mark(mark), side=side, distance_m=spoken.number("distance", metres))


@_sighting("position")
def position(
    place: Annotated[list[str], typer.Argument(help="as 50 06.0N 004 12.0W, 50.1N 4.2W or 50.1 -4.2")],
    sd: SdNm = None,
    source: Annotated[str | None, typer.Option(help="visual, radar, other or satellite (never used)")] = None,
) -> Body:
    """Enter a position from elsewhere; --sd and --source say what it is worth."""
    return given(**spoken.position(place), sd_nm=spoken.number_if("sd", sd), source=source)
