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
TideM = Annotated[str | None, typer.Option(help="height of the tide above chart datum, metres")]
Visibility = Annotated[str | None, typer.Option(help="how far one sees, nautical miles")]
Bobbed = Annotated[bool, typer.Option("--bobbed", help="it went and came as the eye was lowered and raised")]


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


@_sighting("vertical_angle")
def vertical_angle(  # noqa: PLR0913, PLR0917  # an option for each field of the entry
    mark: MarkTyped,
    minutes: Annotated[str, typer.Argument(help="the sextant angle from water to top, minutes of arc")],
    index_error: Annotated[str | None, typer.Option(help="minutes of arc, + on the arc")] = None,
    eye: Annotated[str | None, typer.Option(help="the eye above the water, metres")] = None,
    height: Annotated[str | None, typer.Option(help="of the mark above its datum, metres")] = None,
    tide: TideM = None,
) -> Body:
    """Enter a vertical sextant angle; without the tide the line is as wide as its range."""
    return given(
        mark=spoken.mark(mark),
        angle_min=spoken.number("angle", minutes),
        index_error_min=spoken.number_if("index-error", index_error),
        eye_m=spoken.number_if("eye", eye),
        height_m=spoken.number_if("height", height),
        tide_m=spoken.number_if("tide", tide),
    )


@_sighting("horizontal_angle")
def horizontal_angle(
    left: MarkTyped,
    right: MarkTyped,
    degrees: Annotated[str, typer.Argument(help="the sextant angle between them, degrees")],
) -> Body:
    """Enter a horizontal sextant angle between two marks, the left one first."""
    angle_deg = spoken.number("angle", degrees)
    return given(mark=spoken.mark(left), second_mark=spoken.mark(right), angle_deg=angle_deg)


@_sighting("raised")
def raised(mark: MarkTyped, visibility: Visibility = None, *, bobbed: Bobbed = False) -> Body:
    """Enter a light that came in sight."""
    return _light(mark, visibility, bobbed=bobbed)


@_sighting("dipped")
def dipped(mark: MarkTyped, visibility: Visibility = None, *, bobbed: Bobbed = False) -> Body:
    """Enter a light that went out of sight."""
    return _light(mark, visibility, bobbed=bobbed)


@_sighting("sector")
def sector(
    mark: MarkTyped, colour: Annotated[str, typer.Argument(help="white, red, green or dark (shows nothing)")]
) -> Body:
    """Enter the colour that a sectored light shows."""
    return given(mark=spoken.mark(mark), colour=colour)


@_sighting("depth")
def depth(
    metres: Annotated[str, typer.Argument(help="the depth, metres")],
    below: Annotated[str, typer.Argument(help="transducer, keel or waterline: what it is below")],
    contour: Annotated[
        str | None, typer.Option(help="the contour of the marks file it was sounded on")
    ] = None,
    tide: TideM = None,
) -> Body:
    """Enter a sounding; without the tide the band is as wide as its range."""
    depth_m, tide_m = spoken.number("depth", metres), spoken.number_if("tide", tide)
    return given(depth_m=depth_m, below=below, contour=contour, tide_m=tide_m)


def _light(mark: str, visibility: str | None, *, bobbed: bool) -> Body:
    visibility_nm = spoken.number_if("visibility", visibility)
    return given(mark=spoken.mark(mark), visibility_nm=visibility_nm, bobbed=bobbed or None)
