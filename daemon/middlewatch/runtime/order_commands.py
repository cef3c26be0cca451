"""`middlewatch order`: what the skipper orders, a command for each kind of order."""

from functools import partial
from typing import Annotated

import typer

from middlewatch.links.sender import Body
from middlewatch.runtime import spoken
from middlewatch.runtime.clock import utc_ms
from middlewatch.runtime.sending import OneLineGroup, entry_command, given

order = typer.Typer(cls=OneLineGroup, help="Give an order, and print its effect.")
_order = partial(entry_command, order, "order")

Text = str | None
Reference = Annotated[Text, typer.Option(help="magnetic, true or compass")]
Until = Annotated[
    Text, typer.Option(help="until when; a time of day is the first after the order's own time")
]
Entry = Annotated[str, typer.Argument(help="the entry's id, or last")]
Alert = Annotated[str, typer.Argument(help="the alert's name, as heading or clearing-bearing")]
Revision = Annotated[Text, typer.Option(help="the alert's revision that was read")]


# --- what the reckoning goes by --------------------------------------------------------------------------


@_order("departure")
def departure(  # noqa: PLR0913 - an option is a parameter, and the place is told in one of three ways
    place: Annotated[
        list[str] | None, typer.Argument(help="as 50 06.0N 004 12.0W; with --bearing and --distance a mark")
    ] = None,
    *,
    bearing: Annotated[Text, typer.Option(help="of the mark, from the boat")] = None,
    distance: Annotated[Text, typer.Option(help="off the mark, nautical miles")] = None,
    reference: Annotated[Text, typer.Option(help="magnetic (default), true, compass or relative")] = None,
    from_: Annotated[
        Text, typer.Option("--from", help="satellite: its position, by your order alone; or last_agreed")
    ] = None,
    sd: Annotated[Text, typer.Option(help="its doubt, one sigma in nautical miles")] = None,
) -> Body:
    """Start the reckoning: at a position, off a mark, or from satellite or last_agreed."""
    by_mark = bearing is not None or distance is not None
    told: Body = {}
    if place and by_mark:
        told = {"mark": spoken.mark(" ".join(place))}
    elif place or not (by_mark or from_):
        told = dict(spoken.position(place or []))
    return given(
        **told,
        bearing_deg=spoken.number_if("bearing", bearing),
        reference=reference,
        distance_nm=spoken.number_if("distance", distance),
        sd_nm=spoken.number_if("sd", sd),
        **{"from": from_},
    )


@_order("way")
def way(
    how: Annotated[
        str,
        typer.Argument(
            metavar="WAY", help="under-way, manoeuvring, hove-to, drifting, anchored, made-fast or aground"
        ),
    ],
    radius: Annotated[
        Text,
        typer.Option(help="anchored: of the circle she swings in, metres; a drag out of it is asked after"),
    ] = None,
    drift_towards: Annotated[Text, typer.Option(help="hove to, drifting: towards, degrees true")] = None,
    drift: Annotated[Text, typer.Option(help="hove to, drifting: how fast, knots")] = None,
    until: Until = None,
) -> Body:
    """Say how the boat lies."""
    return given(
        way=how.replace("-", "_"),
        radius_m=spoken.number_if("radius", radius),
        drift_towards_deg=spoken.number_if("drift-towards", drift_towards),
        drift_kn=spoken.number_if("drift", drift),
        until=until,
    )


@_order("course")
def course(
    heading: Annotated[str, typer.Argument(help="the course to steer, by --reference (compass)")],
    reference: Reference = None,
) -> Body:
    """Order a course: kept beside the one steered."""
    return given(heading_deg=spoken.number("course", heading), reference=reference)


@_order("by_hand")
def by_hand(
    heading: Annotated[Text, typer.Option(help="degrees by --reference (compass), or back")] = None,
    reference: Reference = None,
    speed: Annotated[Text, typer.Option(help="knots, negative astern, or back")] = None,
    log: Annotated[Text, typer.Option(help="the log's total in nautical miles, or back")] = None,
) -> Body:
    """Give heading, speed or log by hand instead of a sensor; the word back gives the sensor back."""
    typed = {"heading_deg": heading, "speed_kn": speed, "log_nm": log}
    # None is said here: it is null in the entry, and gives the sensor back.
    by: Body = {
        field: spoken.number_or("back", field, text) for field, text in typed.items() if text is not None
    }
    return by | given(reference=reference)


@_order("leeway")
def leeway(
    degrees: Annotated[str, typer.Argument(help="how far off the heading she goes, or none")],
    side: Annotated[Text, typer.Argument(help="port or starboard: to which side she is pushed")] = None,
) -> Body:
    """Order a leeway, or none to cancel it."""
    return {"leeway_deg": spoken.number_or("none", "leeway", degrees)} | given(pushed_to=side)


@_order("stream")
def stream(
    set_: Annotated[str, typer.Argument(metavar="SET", help="towards where it sets, degrees true")],
    drift: Annotated[str, typer.Argument(help="how fast, knots")],
    sd: Annotated[Text, typer.Option(help="its doubt, one sigma in knots")] = None,
    until: Until = None,
) -> Body:
    """Order a stream for the EP, for an hour unless --until says otherwise."""
    return given(
        set_deg=spoken.number("set", set_),
        drift_kn=spoken.number("drift", drift),
        sd_kn=spoken.number_if("sd", sd),
        until=until,
    )


@_order("log_factor")
def log_factor(
    factor: Annotated[
        Text, typer.Argument(help="what the log shows is times this; or none to cancel")
    ] = None,
    *,
    sd: Annotated[Text, typer.Option(help="its doubt, one sigma as a part of one, as 0.03")] = None,
    from_: Annotated[
        Text, typer.Option("--from", help="satellite: from runs on several headings, by your order alone")
    ] = None,
) -> Body:
    """Calibrate the log: by a measured mile run both ways, or from satellites."""
    by_hand: Body = {} if factor is None else {"factor": spoken.number_or("none", "factor", factor)}
    return by_hand | given(sd=spoken.number_if("sd", sd), **{"from": from_})


@_order("deviation")
def deviation(
    degrees: Annotated[
        Text, typer.Argument(help="left in the heading, east +, as found on this heading; or none to cancel")
    ] = None,
    *,
    card: Annotated[Text, typer.Option(help="heading:deviation, as 0:-2,90:1.5,180:0")] = None,
    sd: Annotated[Text, typer.Option(help="its doubt, one sigma in degrees")] = None,
    from_: Annotated[
        Text, typer.Option("--from", help="satellite: from runs on several headings, by your order alone")
    ] = None,
) -> Body:
    """Correct the heading: by a transit or the Sun, by a card, or from satellites."""
    by_hand: Body = (
        {} if degrees is None else {"deviation_deg": spoken.number_or("none", "deviation", degrees)}
    )
    points = None if card is None else card.replace(",", " ").split()
    return by_hand | given(card=points, sd_deg=spoken.number_if("sd", sd), **{"from": from_})


@_order("visibility")
def visibility(miles: Annotated[str, typer.Argument(help="how far one sees, nautical miles")]) -> Body:
    """Say how far one sees."""
    return {"visibility_nm": spoken.number("visibility", miles)}


@_order("clock")
def clock(
    utc: Annotated[Text, typer.Argument(help="the time it is: date, time and offset")] = None,
    from_: Annotated[Text, typer.Option("--from", help="satellite")] = None,
) -> Body:
    """Set the daemon's clock, or have it set from satellites."""
    # Not a time of day: the board's own clock, which is in doubt, would have to give it its date.
    return given(utc=utc, **{"from": from_})


# --- fixes and entries -----------------------------------------------------------------------------------


@_order("adopt")
def adopt(fix: Annotated[str, typer.Argument(help="the fix's id, as f-e12")]) -> Body:
    """Move the DR's origin to a fix."""
    return {"fix": fix}


@_order("fix")
def fix(entries: Annotated[list[str], typer.Argument(help="the ids of the sightings to use")]) -> Body:
    """Work a fix from sightings of your own choice."""
    return {"using": entries}


@_order("withdraw")
def withdraw(entry: Entry) -> Body:
    """Take an entry back; it stays visible as withdrawn."""
    return {"entry": entry}


@_order("amend")
def amend(
    entry: Entry,
    change: Annotated[
        list[str], typer.Argument(help="key=value, as bearing_deg=248; null takes a field out")
    ],
) -> Body:
    """Change fields of an entry."""
    return {"entry": entry, "change": spoken.changes(change, utc_ms())}


@_order("confirm")
def confirm(entry: Entry) -> Body:
    """Let a suspected entry stand."""
    return {"entry": entry}


@_order("overboard")
def overboard() -> Body:
    """Say that somebody is overboard; it is led back to by heading and log. It calls no one."""
    return {}


@_order("recovered")
def recovered(
    entry: Annotated[Text, typer.Argument(help="the overboard's id, where more than one stands")] = None,
) -> Body:
    """Say that somebody is back on board."""
    return given(entry=entry)


# --- the watch -------------------------------------------------------------------------------------------


@_order("trust_satellites")
def trust_satellites(
    *, anyway: Annotated[bool, typer.Option("--anyway", help="although they still contradict")] = False
) -> Body:
    """End the satellites' quarantine."""
    return {"anyway": True} if anyway else {}


@_order("acknowledge")
def acknowledge(alert: Alert, revision: Revision = None) -> Body:
    """Acknowledge an alert."""
    return given(alert=alert, revision=spoken.number_if("revision", revision))


@_order("silence")
def silence(alert: Alert, revision: Revision = None) -> Body:
    """Silence an alert for 30 seconds."""
    return given(alert=alert, revision=spoken.number_if("revision", revision))


@_order("quiet")
def quiet() -> Body:
    """Have ten minutes without a sound, alarms and danger excepted."""
    return {}


@_order("remark")
def remark(text: Annotated[list[str], typer.Argument(help="a line for the deck log")]) -> Body:
    """Write a line into the deck log."""
    return {"text": " ".join(text)}
