"""What is left uncut for want of a land is told by its name, and why each land does not serve."""

from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, NoGrip, Roughness, Tolerance
from turnability.outputs.route_sheet.route import route_of
from turnability.rules import no_land_to_grip
from turnability.rules.drawn import CHUCK, LATHE, drawn_part, drawn_shop, drawn_view
from turnability.setups.model import SetupLeft
from turnability.shop.load import starter_shop
from turnability.shop.model import Holding

BARREL = [(0, 0), (60, 0), (60, 4), (40, 11), (20, 11), (0, 4)]
"""Two cones (S3, S5) on either side of the one land, ⌀22 (S4)."""

CENTRES = Holding("centres", "between-centres", (6.0, 80.0), None, 8.0, 0.0, 2.0)


def told(left):
    (finding,) = no_land_to_grip.check(drawn_view(BARREL, setup_left=(SetupLeft(left, ("jaws",)),)))
    return finding.message


@pytest.mark.parametrize(
    ("left", "says"),
    [
        (("S4",), "⌀22 mm at z 20 to 40 mm is itself to be cut in that chucking"),
        (("S4", "S5"), "⌀22 mm at z 20 to 40 mm is itself to be cut in that chucking"),
        (("S5",), "⌀22 mm at z 20 to 40 mm hides what must be cut in that chucking"),
    ],
)
def test_a_land_that_is_cut_in_this_setup_is_none(left, says):
    assert says in told(left)


def test_a_land_with_no_room_behind_its_jaws_says_so():
    """Two cones on a land of ⌀30; 240 mm of one would lie in a spindle of 20 mm."""
    long = [(0, 0), (300, 0), (300, 12), (60, 15), (40, 15), (0, 12)]
    for bore_mm, says in ((20.0, "behind the jaws, which no spindle"), (32.0, "hides what must")):
        lathe = replace(LATHE, spindle_bore_mm=bore_mm)
        shop = drawn_shop(machines=(lathe,), holdings=(CHUCK, CENTRES))
        left = (SetupLeft(("S5",), ("jaws",)),)
        (finding,) = no_land_to_grip.check(drawn_view(long, shop=shop, setup_left=left))
        assert "⌀30 mm at z 40 to 60 mm" in finding.message
        assert says in finding.message
        # a dog on 8 mm is no grip by which it could be turned round in jaws
        assert "at least 10 mm and half its diameter long" in finding.message


def test_an_end_face_that_no_setup_faces_is_called_one():
    """⌀100 is more than the blade of 60 mm parts off, and nothing of two cones can be held."""
    cones = [(0, 0), (80, 0), (80, 30), (40, 50), (0, 30)]
    found = walk(drawn_part(cones), starter_shop()).findings
    (finding,) = [f for f in found if f.rule == "no-land-to-grip"]
    assert finding.level == "error"
    assert finding.message.startswith("The face of the low end (z 0 mm, ⌀0 to 60 mm) is left")


def test_one_that_is_parted_off_is_no_matter():
    cones = [(0, 0), (40, 0), (40, 6), (20, 10), (0, 6)]
    found = walk(drawn_part(cones), starter_shop()).findings
    assert [f for f in found if f.rule == "no-land-to-grip"] == []


HOLLOW = [(0, 10), (80, 10), (80, 35), (40, 50), (0, 35)]
"""Two cones round a through bore of ⌀20: no jaws hold them, and they are too wide to part off."""
MANDREL = Holding("mandrel", "mandrel", None, (15.0, 25.0), 15.0, 0.5, 2.0)


def test_a_mandrel_in_the_bore_is_advised_and_does_it():
    """What has only its bore to be held by is turned on a mandrel (common practice, no source)."""
    shop = starter_shop()
    found = walk(drawn_part(HOLLOW), shop).findings
    (finding,) = [f for f in found if f.rule == "no-land-to-grip"]
    assert "on a mandrel" in finding.message
    assert "in its bore of ⌀20 mm" in finding.message
    listed = replace(shop, holdings=(*shop.holdings, MANDREL))
    report = walk(drawn_part(HOLLOW), listed)
    assert [f for f in report.findings if f.rule == "no-land-to-grip"] == []
    assert report.setups[-1].holding == MANDREL
    # one that does not go into it is no reason to be silent of one that does
    other = replace(shop, holdings=(*shop.holdings, replace(MANDREL, inside_mm=(30.0, 40.0))))
    (finding,) = [f for f in walk(drawn_part(HOLLOW), other).findings if f.rule == finding.rule]
    assert "on a mandrel" in finding.message


def test_no_mandrel_where_the_intent_keeps_the_bore_or_there_is_none():
    left = (SetupLeft(("S3",), ("jaws",)),)
    bore = Intent(no_grip=(NoGrip(Named(diameter_mm=(20.0, 20.0), segments=("S1",))),))
    for points, intent in ((BARREL, None), (HOLLOW, bore)):
        (finding,) = no_land_to_grip.check(drawn_view(points, intent=intent, setup_left=left))
        assert "mandrel" not in finding.message
    (finding,) = no_land_to_grip.check(drawn_view(HOLLOW, setup_left=left))
    assert "mandrel" in finding.message


TAPER_PIN = [(0, 0), (80, 0), (80, 4.8), (0, 4)]
"""A taper pin of 8 by 80: nine diameters hang out, which no blade parts off (common practice)."""


def test_a_slender_taper_pin_is_sawn_off_and_squared_by_hand():
    shop = starter_shop()
    report = walk(drawn_part(TAPER_PIN), shop)
    (finding,) = [f for f in report.findings if f.rule == "no-land-to-grip"]
    assert finding.level == "warning"
    assert "file or grind it to length by hand" in finding.message
    then = route_of(report, shop).setups[-1].then
    assert then is not None
    assert then.startswith("saw off 0.5 mm behind z 80")
    assert then.endswith(f"file or grind that face by hand ({finding.id})")


@pytest.mark.parametrize(
    "stated",
    [
        Intent(roughness=(Roughness(Named(end="high"), 1.6),)),
        Intent(ra_um=1.6),
        Intent(tolerances=(Tolerance("length", Named(z_mm=(0, 80)), "±0.05", width_mm=0.1),)),
    ],
)
def test_where_more_is_asked_of_that_face_it_is_an_error(stated):
    report = walk(drawn_part(TAPER_PIN), starter_shop(), intent=stated)
    (finding,) = [f for f in report.findings if f.rule == "no-land-to-grip"]
    assert finding.level == "error"
    then = route_of(report, starter_shop()).setups[-1].then
    assert then is not None
    assert "stays as sawn" in then


def test_a_wide_face_is_not_squared_by_hand():
    wide = [(0, 0), (280, 0), (280, 16), (0, 13)]
    report = walk(drawn_part(wide), starter_shop())
    (finding,) = [f for f in report.findings if f.rule == "no-land-to-grip"]
    assert finding.level == "error"  # 26 or 32 mm across, where a hand squares 25
