"""Every tolerance and trade limit of recognition, stated once, each with what it rests on."""

from __future__ import annotations

from turnability.cited import Cited

SAME_MM = 1e-3
"""Radii and heights this close are equal: what the report contract counts as touching."""
STRAIGHT_DEG = 0.01
"""A line within this of the axis (or of the radial plane) is a cylinder (or a face)."""
NEARLY_RADIAL_DEG = 80.0
"""A line at least this steep whose ends differ by no more than 0.002 mm along the axis is a face: a
sliver that rounding leaves in a file."""
TANGENT_DEG = 1.0
"""Curves that meet at less than this run into one another without an edge."""
EDGE_DEG = 10.0
"""A turn of at least this is an edge; smaller turns join the chords or arcs of one curve."""

CORNER_DEG = 40.0
"""An inside turn of at least this has a corner radius; where a ramp meets a floor none is asked
(steep walls turn by 50 at least)."""

STEEPEST_FOLLOWED = Cited(
    value=50.0,
    unit="deg from the axis",
    source="geometry: minor cutting edge angle 180 - 93 - 35 = 52 deg (ISO 3002-1) of a 35 deg"
    " insert at 93 deg, less the least free angle of 2 deg",
    place="minor cutting edge, tool-in-hand system; publishers' limits for the pair: 45 and 50",
    verified=False,
)
"""A copying tool follows falling flanks up to this; steeper ones on both sides ask for a blade."""
NARROW_FLANK_DEG = 45.0
"""A hollow no wider than a plunged groove is one, not two cones, if both of its flanks rise at
least so steeply from the axis (common practice: V grooves of 60 and 90 degrees)."""
SHALLOW_FLANK_DEG = 30.0
"""Of a single arc with sharp lips so much is enough; two cones of so much may be meant for a V."""
UNDERCUT_RAMP_DEG = 15.0
"""So steep a ramp is enough where the other flank is a shoulder (DIN 509 draws undercuts so)."""
GROOVE_WIDTH = Cited(
    8.0, "mm", "common practice", "widest plunged groove, whatever its depth", False
)
GROOVE_WIDTH_PER_DEPTH = Cited(
    2.0, "mm/mm", "common practice", "wider is a neck, turned out", False
)
"""A hollow with steep flanks is a groove up to the larger of the two widths, else a neck."""
DOUBT = 0.25
"""Within this share of the width limit the other reading is told too (common practice)."""
UPRIGHT_DEG = 5.0
"""A groove's wall within this of the radial plane is upright (common practice: glands' walls)."""
EITHER = 0.1
"""Within this share of a limit neither reading is the likelier (our choice)."""
DOUBT_DEG = 10.0
"""Within this of the flank limit the other reading is told too (common practice)."""

CHAMFER_SIZE = Cited(5.0, "mm", "common practice", "axial size; a longer one is a taper", False)
CHAMFER_PER_DIAMETER = Cited(
    0.2, "mm/mm", "common practice", "legs against the chamfer's largest diameter", False
)
CHAMFER_45_PER_DIAMETER = Cited(
    0.125, "mm/mm", "common practice", "axial size at 45 degrees: longer ones on large work", False
)
CHAMFER_45_DEG = 0.5
CHAMFER_DEG = (14.99, 75.01)
"""Angles to the axis that a chamfer may have: 15 to 75 degrees (common practice)."""
CHAMFER_SHARE = 0.5
"""Beside a slanted surface a chamfer is at most this share of it, else it is a taper too."""
CHAMFER_GOES_ON_DEG = 30.0
"""A flatter line that goes on beyond a hollow is a taper's end, however short (common practice);
steeper ones in a row are the chamfers of steps."""
CORNER_TURN_DEG = 135.0
"""A corner that turns further has no sharp form to put back: an arc there stands for itself."""
USED_UP_DEG = 30.0
"""Two radii that meet this near to radial have used up a shoulder between them; flatter, they are a
contour (common practice)."""
FILLET_PER_DIAMETER = Cited(
    0.5, "mm/mm", "common practice", "legs against the fillet's largest diameter", False
)
"""A longer tangent arc is a contour, not the finish of a corner."""

DRILL_POINT_DEG = (
    Cited(90.0, "deg", "geometry of drills", "spot drill", False),
    Cited(140.0, "deg", "geometry of drills", "solid carbide", False),
)
"""Included angles of an inner cone to the axis that a drill leaves."""
CHORDS = 4
"""So many slanted lines in a row without an edge are one curve saved as chords."""
