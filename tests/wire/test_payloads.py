"""Payloads: INTERFACE's keys in INTERFACE's order, and its rounding."""

import json
from dataclasses import replace
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.quantities.instants import Instant
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.answer import Answer, ChainReport, RefusalReport, SightingAnswer, SlipReport
from middlewatch.reports.fix import CockedHatReport, FixReport, LineReport
from middlewatch.reports.place import PlaceReport
from middlewatch.reports.position import (
    BasisReport,
    DrReport,
    EpReport,
    FormerDrReport,
    OriginReport,
    PositionReport,
    SourceReport,
)
from middlewatch.reports.satellite import CauseReport, SatelliteReport
from middlewatch.reports.status import InputStatus, StatusReport
from middlewatch.wire.figures import figure_of
from middlewatch.wire.payloads import payload

NOW = Instant.parse("2026-05-03T01:42:07Z")
EARLIER = Instant.parse("2026-05-03T01:15:00.25Z")

POSITION = PositionReport(
    at=NOW,
    way="under_way",
    dr=DrReport(50.123456789, -4.2, EARLIER, 2.26004),
    ep=EpReport(50.1, -4.19999999999, ("leeway", "stream")),
    area=None,
    allowance_nm=None,
    heading_true_deg=359.996,
    speed_kn=5.0004,
    speed_reference="water",
    basis=BasisReport(SourceReport("HCHDG@bow", 0.44), SourceReport("none", None)),
    origin=OriginReport("departure", "d-1", EARLIER, 50.0, -4.0, "Île Vierge", None),
)
SATELLITE = SatelliteReport(
    at=NOW,
    state="in_step",
    also=("wide",),
    since=EARLIER,
    gap_nm=0.0,
    bearing_deg=-0.004,
    ordinary_gap_nm=1.23456,
    limit_nm=0.5,
    unseen_pull_kn=None,
    apparent_set_deg=360.0,
    apparent_drift_kn=0.12345,
    causes=(CauseReport("log", 0.98765, "along the heading"),),
)
RAY = LineReport("ray", 50.0, -4.0, 248.0, None, 2.5, None, EARLIER)
CIRCLE = LineReport("circle", 50.0, -4.0, None, 4.5, None, 0.225, EARLIER, NOW)
FIX = FixReport(
    id="f-b2",
    at=NOW,
    label="R Fix",
    latitude_deg=50.0,
    longitude_deg=-4.0,
    sightings=("b1", "b2"),
    lines=(RAY, CIRCLE),
    cut_deg=45.006,
    distance_off_nm=3.0,
    set_deg=None,
    drift_kn=None,
    drift_sd_kn=None,
    over_s=None,
    area=None,
    dr=PlaceReport(50.0, -4.01),
    flags=(),
    worth="a knot of foul stream puts the boat 0.6 nm nearer the mark",
)
BEARING_ANSWER = SightingAnswer(
    line=RAY,
    chain=ChainReport(None, None, 252.0, -4.0, "model", 248.0),
    expected_deg=249.0,
    residual_deg=-181.0,
    expected_nm=None,
    residual_nm=None,
    unusual_sigma=0.4567,
    slips=(SlipReport("reciprocal", 359.999, 0.2),),
    fix=None,
    pencil="from the mark, 068 T",
)
ANSWER = Answer("sighting", "b1", "bearing", EARLIER, NOW, True, True, False, False, token=7)


def _keys(text: str) -> str:
    return ", ".join(json.loads(text))


def test_a_position_has_its_keys_in_order() -> None:
    """`position` as INTERFACE lists it, `allowance_nm` after the area it stands in for, nothing else."""
    text = payload(POSITION)
    assert _keys(text) == (
        "at, way, dr, ep, area, allowance_nm, heading_true_deg, speed_kn, speed_reference, basis, origin"
    )
    report = json.loads(text)
    assert list(report["dr"]) == ["latitude_deg", "longitude_deg", "since", "run_nm"]
    assert list(report["ep"]) == ["latitude_deg", "longitude_deg", "holds"]
    assert list(report["basis"]) == ["heading", "speed"]
    assert report["basis"]["heading"] == {"source": "HCHDG@bow", "age_s": 0.4}
    assert list(report["origin"]) == [
        "kind", "id", "at", "latitude_deg", "longitude_deg", "source", "parent_satellite",
    ]  # fmt: skip


def test_a_position_to_the_letter() -> None:
    """One line, no blanks, times with milliseconds and Z, unknown as null, names in their own letters."""
    assert payload(POSITION) == (
        '{"at":"2026-05-03T01:42:07.000Z","way":"under_way",'
        '"dr":{"latitude_deg":50.1234568,"longitude_deg":-4.2,"since":"2026-05-03T01:15:00.250Z","run_nm":2.26},'
        '"ep":{"latitude_deg":50.1,"longitude_deg":-4.2,"holds":["leeway","stream"]},'
        '"area":null,"allowance_nm":null,"heading_true_deg":0.0,"speed_kn":5.0,"speed_reference":"water",'
        '"basis":{"heading":{"source":"HCHDG@bow","age_s":0.4},"speed":{"source":"none","age_s":null}},'
        '"origin":{"kind":"departure","id":"d-1","at":"2026-05-03T01:15:00.250Z","latitude_deg":50.0,'
        '"longitude_deg":-4.0,"source":"Île Vierge","parent_satellite":null}}'
    )


def test_before_a_departure_the_reckoning_is_null() -> None:
    """Without a departure dr, ep, area, allowance and origin are there, and null."""
    report = json.loads(payload(replace(POSITION, dr=None, ep=None, origin=None)))
    assert [report[key] for key in ("dr", "ep", "area", "allowance_nm", "origin")] == [None] * 5


def test_the_former_dr_is_there_only_while_it_runs() -> None:
    """`former` is left out where there is none, and comes last."""
    assert "former" not in json.loads(payload(POSITION))
    report = json.loads(payload(replace(POSITION, former=FormerDrReport(50.0, -4.0, EARLIER, NOW))))
    assert list(report)[-1] == "former"
    assert list(report["former"]) == ["latitude_deg", "longitude_deg", "since", "until"]


def test_a_new_origin_is_written_anew() -> None:
    """An origin kept from the report before never stands in for another."""
    assert POSITION.origin is not None
    moved = replace(POSITION, origin=replace(POSITION.origin, id="f-b2", kind="fix"))
    assert [json.loads(payload(each))["origin"]["id"] for each in (POSITION, moved, POSITION)] == [
        "d-1", "f-b2", "d-1",
    ]  # fmt: skip


def test_a_satellite_report_has_its_keys_in_order() -> None:
    """`satellite` as INTERFACE lists it, with its `reason` after `also` where there is one."""
    assert _keys(payload(SATELLITE)) == (
        "at, state, also, since, gap_nm, bearing_deg, ordinary_gap_nm, limit_nm, unseen_pull_kn, "
        "apparent_set_deg, apparent_drift_kn, causes"
    )
    report = json.loads(payload(replace(SATELLITE, state="none", reason="no receiver")))
    assert list(report)[1:5] == ["state", "also", "reason", "since"]
    assert report["causes"] == [{"cause": "log", "weight": 0.988, "evidence": "along the heading"}]


def test_a_fix_has_its_keys_in_order() -> None:
    """`fix` as INTERFACE lists it; what does not apply is left out."""
    assert _keys(payload(FIX)) == (
        "id, at, label, latitude_deg, longitude_deg, sightings, lines, cut_deg, distance_off_nm, "
        "set_deg, drift_kn, drift_sd_kn, over_s, area, dr, flags, worth"
    )
    place = PlaceReport(50.0, -4.0)
    hat = CockedHatReport((place, place, place), 0.30004)
    full = replace(FIX, cocked_hat=hat, rival=place, revises="f-b2", withdrawn=True)
    assert _keys(payload(full)) == (
        "id, at, label, latitude_deg, longitude_deg, sightings, lines, cut_deg, distance_off_nm, "
        "cocked_hat, rival, set_deg, drift_kn, drift_sd_kn, over_s, area, dr, flags, worth, revises, "
        "withdrawn"
    )
    assert json.loads(payload(full))["cocked_hat"]["longest_side_nm"] == 0.3


def test_a_line_gives_the_one_spread_that_applies() -> None:
    """A ray has `sd_deg`, a circle `sd_nm`; `transferred_to` only where the line was carried."""
    ray, circle = json.loads(payload(FIX))["lines"]
    assert list(ray) == ["shape", "latitude_deg", "longitude_deg", "bearing_deg", "radius_nm", "sd_deg", "at"]
    assert list(circle) == [
        "shape", "latitude_deg", "longitude_deg", "bearing_deg", "radius_nm", "sd_nm", "at", "transferred_to",
    ]  # fmt: skip


def test_an_alert_has_its_keys_in_order() -> None:
    """`alert/<name>` as INTERFACE lists it: the name is in the topic."""
    alert = AlertReport("heading", NOW, "caution", "active", "no heading for 20 s", EARLIER, 3)
    assert payload(alert) == (
        '{"at":"2026-05-03T01:42:07.000Z","priority":"caution","state":"active",'
        '"text":"no heading for 20 s","since":"2026-05-03T01:15:00.250Z","revision":3}'
    )


def test_a_status_has_its_keys_in_order() -> None:
    """`status` as INTERFACE lists it."""
    status = StatusReport(
        "online", "0.1.0", EARLIER, (InputStatus("bow", None, 10.04, 120, 1, ("heading",)),)
    )
    assert payload(status) == (
        '{"state":"online","version":"0.1.0","since":"2026-05-03T01:15:00.250Z","inputs":[{"name":"bow",'
        '"heard_at":null,"per_s":10.0,"sentences":120,"rejected":1,"chosen_for":["heading"]}],'
        '"reworking":false}'
    )


def test_a_refusal_stands_flat_in_its_answer() -> None:
    """A refused entry's answer has INTERFACE's keys in one object, and never the token of the link."""
    refused = replace(
        ANSWER,
        id=None,
        kind=None,
        at=None,
        accepted=False,
        used=False,
        refusal=RefusalReport(
            "bearing_deg", "361", "degrees clockwise, 0 to 360", "bearing_deg cannot be 361"
        ),
    )
    assert payload(refused) == (
        '{"id":null,"kind":null,"at":null,"heard_at":"2026-05-03T01:42:07.000Z","accepted":false,"used":false,'
        '"open":false,"repeat":false,"field":"bearing_deg","found":"361",'
        '"wanted":"degrees clockwise, 0 to 360","reason":"bearing_deg cannot be 361"}'
    )


def test_an_order_is_answered_with_its_effect() -> None:
    """An order's answer ends in one sentence."""
    answered = replace(ANSWER, channel="order", kind="quiet", effect='quiet until "0152"')
    assert _keys(payload(answered)) == "id, kind, at, heard_at, accepted, used, open, repeat, effect"
    assert json.loads(payload(answered))["effect"] == 'quiet until "0152"'


def test_a_bearing_is_answered_in_degrees() -> None:
    """A bearing's answer is in degrees: expected, residual, and a slip's value, which is a direction."""
    text = payload(replace(ANSWER, sighting=BEARING_ANSWER))
    assert _keys(text) == (
        "id, kind, at, heard_at, accepted, used, open, repeat, "
        "line, chain, expected_deg, residual_deg, unusual_sigma, slips, pencil"
    )
    answer = json.loads(text)
    assert answer["residual_deg"] == 179.0
    assert answer["unusual_sigma"] == 0.457
    assert answer["slips"] == [{"slip": "reciprocal", "value": 0.0, "fits": 0.2}]
    assert list(answer["chain"].items()) == [
        ("compass_deg", None), ("deviation_deg", None), ("magnetic_deg", 252.0), ("variation_deg", -4.0),
        ("variation_source", "model"), ("true_deg", 248.0),
    ]  # fmt: skip


def test_a_range_is_answered_in_miles() -> None:
    """A range's answer is in nm: expected, residual, and its slips' values; `fix` where one was made."""
    sighting = replace(
        BEARING_ANSWER,
        line=CIRCLE,
        chain=None,
        expected_deg=None,
        residual_deg=None,
        expected_nm=4.0,
        residual_nm=-0.00001,
        slips=(SlipReport("longitude scale", 400.12346, 0.2),),
        fix="f-r1",
    )
    answer = json.loads(payload(replace(ANSWER, kind="range", sighting=sighting)))
    assert list(answer)[8:] == [
        "line", "chain", "expected_nm", "residual_nm", "unusual_sigma", "slips", "fix", "pencil",
    ]  # fmt: skip
    assert (answer["residual_nm"], answer["slips"][0]["value"]) == (0.0, 400.1235)


@pytest.mark.parametrize(
    ("line", "unit"), [(RAY, "deg"), (CIRCLE, "nm"), (replace(CIRCLE, shape="point"), "nm"), (None, "deg")]
)
def test_an_expected_value_not_known_is_null_in_the_unit_of_its_line(
    line: LineReport | None, unit: str
) -> None:
    """Before a departure nothing can be expected: the two keys that would apply are there, and null."""
    unknown = replace(BEARING_ANSWER, line=line, expected_deg=None, residual_deg=None)
    answer = json.loads(payload(replace(ANSWER, sighting=unknown)))
    assert list(answer)[10:12] == [f"expected_{unit}", f"residual_{unit}"]
    assert (answer[f"expected_{unit}"], answer[f"residual_{unit}"]) == (None, None)


def test_a_sighting_weighed_both_ways_is_answered_both_ways() -> None:
    """Where degrees and miles are both given, neither is dropped."""
    both = replace(BEARING_ANSWER, residual_nm=0.4)
    answer = json.loads(payload(replace(ANSWER, sighting=both)))
    assert list(answer)[10:14] == ["expected_deg", "expected_nm", "residual_deg", "residual_nm"]


@pytest.mark.parametrize(
    ("key", "number", "text"),
    [
        ("latitude_deg", 50.12345674, "50.1234567"),
        ("latitude_deg", -1e-9, "0.0"),
        ("latitude_deg", 1e-7, "1e-07"),
        ("longitude_deg", 179.99999999, "-180.0"),
        ("longitude_deg", -180.0, "-180.0"),
        ("run_nm", 3.00005001, "3.0001"),
        ("speed_kn", -0.0004, "0.0"),
        ("speed_kn", 5, "5.0"),
        ("age_s", 0.26, "0.3"),
        ("heading_true_deg", 359.994, "359.99"),
        ("heading_true_deg", 359.996, "0.0"),
        ("heading_true_deg", 360.0, "0.0"),
        ("heading_true_deg", -0.001, "0.0"),
        ("heading_true_deg", -90.0, "270.0"),
        ("bearing_deg", -1e-20, "0.0"),
        ("residual_deg", -179.996, "180.0"),
        ("residual_deg", -179.99, "-179.99"),
        ("residual_deg", 180.0, "180.0"),
        ("residual_deg", -180.0, "180.0"),
        ("residual_deg", 181.23, "-178.77"),
        ("residual_deg", -0.001, "0.0"),
        ("deviation_deg", -2.345678, "-2.35"),
        ("variation_deg", -4.5, "-4.5"),
        ("cut_deg", 90.0, "90.0"),
        ("sd_deg", 2.5, "2.5"),
        ("weight", 0.98765, "0.988"),
    ],
)
def test_figures_are_rounded_by_their_key(key: str, number: float, text: str) -> None:
    """Decimals by unit, directions [0, 360) and turns (-180, 180] after rounding, and no -0.0."""
    assert figure_of(key)(number) == text


@pytest.mark.parametrize("number", [nan, inf, -inf])
@pytest.mark.parametrize(
    "key", ["latitude_deg", "longitude_deg", "run_nm", "heading_true_deg", "residual_deg"]
)
def test_a_figure_that_is_no_number_is_never_published(key: str, number: float) -> None:
    """NaN and infinity are a bug of ours, and stop here."""
    with pytest.raises(ValueError, match="about to be published"):
        figure_of(key)(number)


def test_a_report_with_nan_in_it_is_never_published() -> None:
    """A bad figure deep inside a report stops the whole of it."""
    with pytest.raises(ValueError, match="about to be published"):
        payload(replace(POSITION, basis=BasisReport(SourceReport("held", nan), SourceReport("none", None))))


@given(st.floats(-1e6, 1e6))
def test_directions_and_turns_stay_in_their_circle(angle: float) -> None:
    """Whatever the angle, what is published lies in its circle and within half a hundredth of it."""
    heading, residual = (float(figure_of(key)(angle)) for key in ("heading_true_deg", "residual_deg"))
    assert 0.0 <= heading < 360.0
    assert -180.0 < residual <= 180.0
    for published in (heading, residual):
        off = (published - angle) % 360.0
        # 0.005 by rounding, and what a double still tells apart at a million degrees.
        assert min(off, 360.0 - off) <= 0.005 + 1e-9


@given(st.floats(-90, 90), st.floats(-180, 180), st.text())
def test_a_payload_is_one_line_of_json(latitude: float, longitude: float, source: str) -> None:
    """Whatever the words in it, a payload is one line that JSON readers take, with the words as they were."""
    origin = OriginReport("departure", "d-1", EARLIER, latitude, longitude, source, None)
    text = payload(replace(POSITION, origin=origin))
    assert "\n" not in text
    assert json.loads(text)["origin"]["source"] == source
    assert json.loads(text)["origin"]["latitude_deg"] == round(latitude, 7)
