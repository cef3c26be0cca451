"""Orders about fixes: adopt, which alone moves the origin, and the fix of lines chosen."""

from entries.afloat import MILLIMETRE, departed, effect, metres
from entries.entering import START_MS, Aboard, utc
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position


def fixed() -> Aboard:
    """Return a boat with a fix of two lines, `f-b2`, a minute after it."""
    boat = departed()
    boat.sighting(id="b1", kind="bearing", mark="Start Point", bearing_deg=342, reference="true")
    boat.run(30)
    boat.sighting(id="b2", kind="bearing", mark="Stoke Point", bearing_deg=47, reference="true")
    boat.run(60)
    return boat


def test_adopt_moves_the_origin_and_the_old_dr_runs_on_for_two_hours() -> None:
    """The new DR starts from the fix at its own time; the former runs on and is gone after two hours."""
    boat, other = fixed(), fixed()
    fix = boat.fixes()[-1]
    words = effect(boat.order(id="a1", kind="adopt", fix="f-b2"))
    boat.run(60)
    other.run(60)

    place = Position(fix.latitude_deg, fix.longitude_deg)
    assert words == (
        f"f-b2 of 0101 adopted: the DR starts anew from {place}; the old one runs on beside it until 0302"
    )
    # Fix at 90 s; at 210 s two minutes have been run at 6 kn, a fifth of a mile east.
    assert metres(boat.dr_at(210), place.moved(0.0, 0.2 * 1852)) < 0.01
    origin = boat.position.origin
    assert origin is not None
    assert (origin.kind, origin.id, origin.at, origin.parent_satellite) == ("fix", "f-b2", fix.at, None)
    assert origin.source == "Fix by b1, b2"
    former = boat.position.former
    assert former is not None
    assert metres(Position(former.latitude_deg, former.longitude_deg), other.dr_at(210)) < MILLIMETRE
    assert former.until == Instant(START_MS + (150 + 7200) * 1000)
    boat.run(7140)
    assert boat.position.former is not None
    boat.run(1)
    assert boat.position.former is None


def test_adopt_without_a_dr_before_it_speaks_of_no_old_one() -> None:
    """The first origin of all may be a fix."""
    boat = Aboard()
    boat.run(10)
    boat.sighting(id="p1", kind="passing", mark="Gammon Beacon", side="port", distance_m=200)
    words = effect(boat.order(kind="adopt", fix="f-p1"))

    assert words.startswith("f-p1 of 0100 adopted: the DR starts anew from ")
    assert "old one" not in words


def test_adopting_a_fix_of_a_suspected_line_says_so() -> None:
    """It is the skipper's to adopt, and he is told what it rests on; confirmed, it is suspected no more."""
    boat = departed()
    boat.sighting(id="b1", kind="bearing", mark="Start Point", bearing_deg=342, reference="true")
    boat.run(30)
    assert boat.sighting(id="b2", kind="bearing", mark="Stoke Point", bearing_deg=87, reference="true").open
    said = "; mind that b2, which it rests on, is suspected and stands unconfirmed"
    assert effect(boat.order(id="a1", kind="adopt", fix="f-b2")).endswith(said)

    boat.order(kind="confirm", entry="b2")
    assert not effect(boat.order(id="a2", kind="adopt", fix="f-b2")).endswith(said)


def test_nothing_but_an_order_moves_the_origin() -> None:
    """Fixes come, and the DR goes on from its departure."""
    boat = fixed()

    assert boat.fixes()[-1].id == "f-b2"
    assert boat.position.origin is not None
    assert boat.position.origin.id == "d1"


def test_a_late_sighting_never_moves_an_origin_adopted() -> None:
    """The fix is published again with `revises`; the DR stays; adopting the old revision warns."""
    boat, other = fixed(), fixed()
    for each in (boat, other):
        each.order(id="a1", kind="adopt", fix="f-b2")
        each.run(30)
    late = boat.hear(
        "sighting", {"id": "b0", "kind": "range", "mark": "Bolt Head", "distance_nm": 8.6, "at": utc(70)}
    )

    revised = boat.fixes()[-1]
    assert (revised.id, revised.revises) == ("f-b2.2", "f-b2")
    assert revised.sightings == ("b1", "b0", "b2")
    assert revised in late
    boat.run(1)
    other.run(1)
    stays, stayed = boat.position, other.position
    assert (stays.dr, stays.ep, stays.origin) == (stayed.dr, stayed.ep, stayed.origin)
    again = effect(boat.order(id="a2", kind="adopt", fix="f-b2"))
    assert again.endswith("; mind that f-b2.2 has revised f-b2 since")


def test_adopt_before_the_fix_was_made_is_refused() -> None:
    """A fix of 0101:30 cannot have been adopted at 0101."""
    boat = fixed()
    refusal = boat.order(kind="adopt", fix="f-b2", at=utc(60)).refusal

    assert refusal is not None
    assert (refusal.field, refusal.wanted) == ("at", f"not before {utc(90)}, the fix's own time")


def test_fix_using_chosen_lines() -> None:
    """Of three lines the skipper takes two: the fix is revised, and the sentence says where it is."""
    boat = fixed()
    boat.sighting(id="b3", kind="range", mark="Bolt Head", distance_nm=8.6)
    made = boat.fixes()[-1]
    words = effect(boat.order(id="x1", kind="fix", using=["b1", "b3"]))
    chosen = boat.fixes()[-1]

    assert made.sightings == ("b1", "b2", "b3")
    assert (chosen.id, chosen.revises, chosen.sightings) == ("f-b3.2", "f-b3", ("b1", "b3"))
    assert words.startswith("f-b3.2, Fix by b1, b3: 50 ")
    assert words.endswith(" W")


def test_fix_using_is_undone_by_withdrawing_the_order() -> None:
    """The fix is again what it was of itself."""
    boat = fixed()
    boat.sighting(id="b3", kind="range", mark="Bolt Head", distance_nm=8.6)
    made = boat.fixes()[-1]
    boat.order(id="x1", kind="fix", using=["b1", "b3"])
    boat.run(5)
    words = effect(boat.order(kind="withdraw", entry="x1"))

    restored = boat.fixes()[-1]
    assert words == "fix x1 withdrawn; it stays in the log as withdrawn; fixes: f-b3.3 revises f-b3.2"
    assert (restored.latitude_deg, restored.longitude_deg) == (made.latitude_deg, made.longitude_deg)
