"""Narration: each report as a navigator would note it, once, with units and references."""

from dataclasses import replace
from io import StringIO

import pytest
from rich.console import Console

from middlewatch.practice.skipper import SkipperEntry
from middlewatch.quantities.instants import Instant
from middlewatch.reports import Report
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.answer import Answer, ChainReport, RefusalReport, SightingAnswer
from middlewatch.reports.fix import FixReport
from middlewatch.reports.position import BasisReport, PositionReport, ReportedWay, SourceReport
from middlewatch.reports.satellite import SatelliteReport, SatelliteState
from middlewatch.runtime.deck_log import DeckLog
from middlewatch.runtime.narration import Narrator, Note
from middlewatch.runtime.skipper_words import in_words
from middlewatch.runtime.terms import Terms

AT = Instant.parse("2026-05-02T22:00:40Z")
TAKEN = Instant.parse("2026-05-02T22:00:00Z")
LATER = Instant.parse("2026-05-02T22:31:00Z")

CHAIN = ChainReport(None, None, 1.0, -10.97, "WMM2025", 350.03)
SIGHTING = SightingAnswer(
    line=None,
    chain=CHAIN,
    expected_deg=353.4,
    residual_deg=-3.37,
    expected_nm=None,
    residual_nm=None,
    unusual_sigma=None,
    slips=(),
    fix="f-b1",
    pencil="2200: from Carrow Head draw 170 T (bearing 350 T, 001 M); label 2200",
)
BEARING = Answer("sighting", "b1", "bearing", TAKEN, AT, True, True, False, False, sighting=SIGHTING)
REMARK = Answer("order", "r1", "remark", AT, AT, True, True, False, False, effect="noted: all well")
FIX = FixReport(
    id="f-b1",
    at=TAKEN,
    label="R Fix",
    latitude_deg=46.985,
    longitude_deg=-34.134,
    sightings=("b0", "b1"),
    lines=(),
    cut_deg=49.0,
    distance_off_nm=2.56,
    set_deg=357.0,
    drift_kn=1.1,
    drift_sd_kn=0.5,
    over_s=3600.0,
    area=None,
    dr=None,
    flags=("cut under 30",),
    worth="Distance off 2.56 nm = run 2.99 nm x sin 40 / sin 49.",
)


def satellite(state: SatelliteState, gap_nm: float | None, reason: str | None = None) -> SatelliteReport:
    """Return a satellite report with the default limit."""
    return SatelliteReport(AT, state, (), AT, gap_nm, 165.0, 1.6, 0.5, None, None, None, reason=reason)


def alert(state: str, text: str = "gap 0.52 nm; take a bearing", priority: str = "caution") -> AlertReport:
    """Return the satellite alert."""
    return AlertReport("satellite", AT, priority, state, text, AT, 3)  # type: ignore[arg-type] # words of the table


def position(way: ReportedWay) -> PositionReport:
    """Return a position before any departure."""
    none = SourceReport("none", None)
    return PositionReport(AT, way, None, None, None, None, None, None, "water", BasisReport(none, none), None)


def told(narrator: Narrator, *reports: Report) -> list[Note]:
    """Return every note that comes of these reports, said at one moment."""
    return [note for report in reports for note in narrator.notes(AT, report)]


def sentences(*reports: Report) -> list[str]:
    """Return every sentence that a new narrator makes of these reports."""
    return [sentence for note in told(Narrator(), *reports) for sentence in note.sentences]


# --- answers -------------------------------------------------------------------------------------------


def test_a_bearing_shows_its_chain_and_what_to_draw() -> None:
    """Magnetic, variation, true; what expected; the pencil line without the figures said already."""
    assert sentences(BEARING) == [
        (
            "Bearing b1 of 22:00:00: 001 M with variation 11.0 W is 350.0 T; expected 353.4 T,"
            " residual -3.4 degrees."
        ),
        "Pencil 2200: from Carrow Head draw 170 T; label 2200.",
    ]


def test_a_chain_from_the_ships_compass() -> None:
    """Each step is named with its side, east or west, and each direction with its reference."""
    chain = ChainReport(356.0, 5.04, 1.04, -11.0, "WMM2025", 350.04)
    answer = replace(BEARING, sighting=replace(SIGHTING, chain=chain, residual_deg=None))

    assert sentences(answer)[0] == (
        "Bearing b1 of 22:00:00: 356 C with deviation 5.0 E is 001.0 M with variation 11.0 W is 350.0 T."
    )


def test_a_range_shows_miles() -> None:
    """What is measured in miles is compared in miles."""
    sighting = replace(
        SIGHTING, chain=None, residual_deg=None, expected_nm=3.1, residual_nm=-0.12, pencil=None
    )
    point = replace(sighting, expected_nm=None, residual_nm=0.4)

    assert sentences(replace(BEARING, kind="range", sighting=sighting)) == [
        "Range b1 of 22:00:00: expected 3.10 nm, residual -0.12 nm."
    ]
    assert sentences(replace(BEARING, kind="passing", sighting=point)) == [
        "Passing b1 of 22:00:00: 0.40 nm from the middle of the area."
    ]


def test_a_direction_that_rounds_to_360_is_000() -> None:
    """359.96 true is written 000.0, as no compass shows 360."""
    sighting = replace(SIGHTING, chain=replace(CHAIN, true_deg=359.96), residual_deg=None)

    assert "is 000.0 T." in sentences(replace(BEARING, sighting=sighting))[0]


@pytest.mark.parametrize(
    ("refusal", "words"),
    [
        (
            RefusalReport("bearing_deg", "361", "degrees, 0 to 360", "bearing_deg cannot be 361"),
            "refused: bearing_deg cannot be 361; wanted for bearing_deg: degrees, 0 to 360.",
        ),
        (
            RefusalReport("reference", "compass", "another", "there is no card"),
            "refused: there is no card; reference is compass, wanted: another.",
        ),
    ],
)
def test_a_refusal_names_field_found_and_wanted(refusal: RefusalReport, words: str) -> None:
    """Whatever the reason says: the field, what was found and what is wanted, none of them twice."""
    answer = Answer("sighting", "x1", "bearing", None, AT, False, False, False, False, refusal=refusal)

    assert sentences(answer) == [f"Bearing x1: {words}"]


def test_a_repeat_is_said_to_change_nothing() -> None:
    """The same entry heard again is not told again."""
    assert sentences(replace(BEARING, repeat=True)) == [
        "Bearing b1 of 22:00:00: heard again, answered again, changes nothing."
    ]


def test_what_the_skipper_said_stands_before_the_answer() -> None:
    """Where it is known it takes the place of kind and id; elsewhere they stand in front of the answer."""
    narrator = Narrator({"b1": "Skipper: bearing of Carrow Head 001 M."}.get)
    first, second = told(narrator, BEARING)

    assert (first.voice, first.sentences) == ("skipper", ("Skipper: bearing of Carrow Head 001 M.",))
    assert second.sentences[0].startswith("001 M with variation")


def test_a_remark_is_not_said_twice() -> None:
    """The skipper's own words are all there is to a remark."""
    narrator = Narrator({"r1": "Skipper: all well."}.get)

    assert [note.sentences for note in told(narrator, REMARK)] == [("Skipper: all well.",)]
    assert sentences(REMARK) == ["Remark r1: noted: all well."]


# --- fixes, satellites, alerts --------------------------------------------------------------------------


def test_a_fix_tells_place_worth_and_stream() -> None:
    """Its own time, its cut, its worth, set true and drift with their doubt, and each flag."""
    assert sentences(FIX) == [
        "R Fix f-b1 of 2200: 46 59.10 N 034 08.04 W, the lines cut at 49 degrees.",
        "Distance off 2.56 nm = run 2.99 nm x sin 40 / sin 49.",
        "Set 357 T, drift 1.1 kn, 1 sigma 0.5, over 60 min.",
        "Cut under 30.",
    ]


def test_a_fix_revised_and_a_fix_withdrawn() -> None:
    """What it takes the place of is named, and a withdrawn fix is not told as a place."""
    revised = replace(FIX, id="f-b1.2", revises="f-b1")
    withdrawn = replace(FIX, withdrawn=True)

    assert sentences(revised)[0].endswith("; it takes the place of f-b1.")
    assert sentences(withdrawn) == ["R Fix f-b1 of 2200 withdrawn: its lines do not make it any more."]


def test_a_state_is_said_at_its_change_only() -> None:
    """In step for an hour is one sentence."""
    hour: list[Report] = [satellite("in_step", 0.01), position("under_way")] * 5
    narrator = Narrator()
    notes = told(narrator, *hour)

    assert [note.sentences for note in notes] == [
        ("Satellite position in step with the reckoning: gap 0.01 nm.",)
    ]


def test_an_alert_takes_the_place_of_the_state_that_raised_it() -> None:
    """Wide with its caution is said once, in the caution's words."""
    wide = satellite("wide", 0.52, "past the limit of 0.50 nm")

    assert sentences(satellite("in_step", 0.0), wide, alert("active"))[1:] == [
        "CAUTION: gap 0.52 nm; take a bearing."
    ]


def test_a_state_that_raises_nothing_is_said_itself() -> None:
    """With `limit_alone = "state"` there is no alert: gap and direction stand in the state's words."""
    wide = satellite("wide", 0.52, "past the limit of 0.50 nm")
    narrator = Narrator()

    assert told(narrator, wide) == []
    assert [note.sentences for note in narrator.last()] == [
        ("Satellite position wide: past the limit of 0.50 nm; gap 0.52 nm, 165 T of the EP.",)
    ]
    assert list(narrator.last()) == []


def test_another_subjects_alert_leaves_the_state_to_be_said() -> None:
    """A broker lost in the second of a change takes nothing away from it."""
    lost = AlertReport("broker", AT, "caution", "active", "lost the broker", AT, 1)

    assert sentences(satellite("in_step", 0.1), lost) == [
        "Satellite position in step with the reckoning: gap 0.10 nm, 165 T of the EP.",
        "CAUTION: lost the broker.",
    ]


def test_back_in_step_ends_the_caution_in_one_note() -> None:
    """The state and the alert it ends stand together, the alert by the time it was raised."""
    notes = told(Narrator(), alert("active"), satellite("in_step", 0.07), alert("normal"))

    assert notes[1].sentences == (
        "Satellite position in step with the reckoning: gap 0.07 nm, 165 T of the EP.",
        "Satellite caution of 2200 over.",
    )


def test_a_gap_past_the_limit_is_never_called_in_step() -> None:
    """Until it has lasted a gap is not wide; the state's name alone would promise too much."""
    assert sentences(satellite("in_step", 0.81), position("under_way")) == [
        "Satellite position heard, gap 0.81 nm, 165 T of the EP."
    ]


def test_a_warning_says_how_to_acknowledge_it() -> None:
    """The order wants alert and revision: both stand there; acknowledged, it still stands."""
    warning = alert("active-unacknowledged", "gap 2.78 nm", "warning")
    known = replace(warning, state="active-acknowledged")
    over = replace(warning, state="rectified-unacknowledged")

    assert sentences(warning, known, over) == [
        "WARNING: gap 2.78 nm (acknowledge satellite, revision 3).",
        "Satellite warning acknowledged, and it stands: gap 2.78 nm.",
        "Satellite warning over, but nobody has acknowledged it (revision 3): gap 2.78 nm.",
    ]


def test_way_is_said_when_it_changes() -> None:
    """Not at the first report, and once at a change."""
    assert sentences(position("under_way"), position("little_way"), position("little_way")) == [
        "Way: little way."
    ]


# --- the log and the skipper's words --------------------------------------------------------------------


def written(notes: list[Note], width: int | None) -> list[str]:
    """Return the lines of a deck log of this width."""
    paper = StringIO()
    log = DeckLog(Console(file=paper), width)
    for note in notes:
        log.note(note)
    return paper.getvalue().splitlines()


def test_a_log_hangs_its_lines_under_the_first_word() -> None:
    """The time stands in front where it changes, and nothing is wider than the log."""
    words = "one two three four five six seven eight nine ten"
    notes = [Note(AT, "watch", (words,)), Note(AT, "alert", ("again",)), Note(LATER, "watch", ("later",))]

    assert written(notes, 40) == [
        "22:00:40  one two three four five six",
        "          seven eight nine ten",
        "          again",
        "22:31:00  later",
    ]


def test_a_log_that_goes_to_a_file_has_a_line_a_note() -> None:
    """Each line stands for itself, with its time."""
    notes = [Note(AT, "watch", ("One.", "Two.")), Note(AT, "alert", ("Again.",))]

    assert written(notes, None) == ["22:00:40  One. Two.", "22:00:40  Again."]


def test_a_term_is_explained_where_it_first_stands() -> None:
    """Once, behind the word, and never inside another word."""
    terms = Terms()
    first = terms.explained(Note(AT, "watch", ("STEP, DRIFT: the EP stands.",)))
    second = terms.explained(Note(AT, "watch", ("The EP stands.",)))

    assert first.sentences[0].startswith("STEP, DRIFT: the EP [estimated position: ")
    assert second.sentences == ("The EP stands.",)


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (
            {
                "kind": "bearing",
                "mark": "Carrow Head",
                "bearing_deg": 1,
                "reference": "magnetic",
                "ago_s": 40,
            },
            "bearing of Carrow Head 001 M, taken 40 s ago (x)",
        ),
        (
            {
                "kind": "bearing",
                "mark": "Carrow Head",
                "bearing_deg": 78,
                "reference": "true",
                "at": "2026-05-02T22:41:00.000Z",
                "note": "On the slate.",
            },
            'bearing of Carrow Head 078 T, taken at 2241 and entered only now, "On the slate." (x)',
        ),
        ({"kind": "stream", "set_deg": 0, "drift_kn": 0.9}, "stream setting 000 T, drift 0.9 kn (x)"),
        ({"kind": "adopt", "fix": "f-b1"}, "adopt the fix f-b1 (x)"),
        ({"kind": "hove_to"}, "hove to (x)"),
    ],
)
def test_an_entry_in_the_skippers_words(body: dict[str, object], words: str) -> None:
    """Directions in three figures with their reference, times as in a deck log."""
    assert in_words(SkipperEntry(AT.ms, "sighting", {"id": "x", **body})) == words
