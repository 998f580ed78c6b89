"""Grooves: narrow hollows of the outside between two higher, steep flanks."""

from __future__ import annotations

from turnability.features.chain import Chain
from turnability.features.drawing import ArcTo, Drawing, Step, fillet
from turnability.features.found import Example, Found
from turnability.features.groove_measures import alike, in_taper_deg, measures
from turnability.features.grooving import grooves, held, near_cones, near_neck
from turnability.features.model import FeatureKind

KIND: FeatureKind = "groove"
RANK = 21


def find(chain: Chain) -> list[Found]:
    """Every groove; its mouth lies between its lips' sharp corners, their finishes put back."""
    found = []
    for groove in grooves(chain, chain.outside):
        owns = chain.owned(groove.own)
        if not owns:
            continue
        (z0, _), (z1, _) = groove.hollow.mouth
        found.append(
            Found(
                KIND,
                "outer",
                (min(z0, z1), max(z0, z1)),
                (2.0 * groove.floor, 2.0 * groove.hollow.level),
                owns,
                {**measures(chain, groove, reverse=True), **in_taper_deg(chain, groove)},
                held(chain, groove),
                alternative=near_neck(chain, groove) or near_cones(chain, groove),
                relief=groove.relief,
            )
        )
    return alike(found)


def _shaft(*hollow: Step) -> Drawing:
    """A bar of 20 by 60 with a hollow drawn from high to low."""
    return ((0, 0), (60, 0), (60, 10), *hollow, (0, 10))


EXAMPLES = (
    Example("a stepped shaft", ((0, 0), (60, 0), (60, 8), (40, 8), (40, 12), (0, 12))),
    Example("a wide neck", _shaft((40, 10), (40, 8), (20, 8), (20, 10))),
    Example(
        "a valley that a copying tool follows",
        _shaft((40, 10), (35, 8), (30, 10)),
    ),
    Example(
        "a shallow hollow drawn with one arc",
        _shaft((33, 10), ArcTo(27, 10, (30, 22), True)),
    ),
    Example(
        "square, with corner radii and chamfered lips",
        _shaft(
            (34.5, 10), (34, 9.5),
            *fillet((34, 10), (34, 7), (30, 7), 0.4),
            *fillet((34, 7), (30, 7), (30, 10), 0.4),
            (30, 9.5), (29.5, 10),
        ),
        ({"z_mm": (30, 34), "diameter_mm": (14, 20), "width_mm": 4.0, "depth_mm": 3.0,
          "floor_radius_mm": 0.4, "wall_angles_deg": (0.0, 0.0), "surface": "outer"},),
    ),
    Example(
        "V of 60 degrees, as a belt or a thread would have it",
        _shaft((32, 10), (30, 10 - 2 * 3**0.5), (28, 10)),
        ({"z_mm": (28, 32), "width_mm": 4.0, "depth_mm": 2 * 3**0.5, "floor_radius_mm": 0.0,
          "wall_angles_deg": (30.0, 30.0)},),
    ),
    Example(
        "half round",
        _shaft((32, 10), ArcTo(28, 10, (30, 10), True)),
        ({"z_mm": (28, 32), "diameter_mm": (16, 20), "depth_mm": 2.0, "floor_radius_mm": 2.0,
          "wall_angles_deg": (0.0, 0.0)},),
    ),
    Example(
        "half round with rounded lips",
        _shaft(
            (34, 10), ArcTo(33, 9, (34, 9), False), ArcTo(27, 9, (30, 9), True),
            ArcTo(26, 10, (26, 9), False),
        ),
        ({"z_mm": (27, 33), "diameter_mm": (12, 20), "depth_mm": 4.0, "floor_radius_mm": 3.0},),
    ),
    Example(
        "V of 90 degrees: a copying tool could follow its flanks",
        _shaft((33, 10), (30, 7), (27, 10)),
        ({"z_mm": (27, 33), "form": "V", "wall_angles_deg": (45.0, 45.0), "depth_mm": 3.0,
          "alternative": "taper"},),
    ),
    Example(
        "a shallow radius with sharp lips",
        _shaft((32.236067977, 10), ArcTo(27.763932023, 10, (30, 12), True)),
        ({"z_mm": (27.763932023, 32.236067977), "form": "round", "floor_radius_mm": 3.0,
          "depth_mm": 1.0, "alternative": "contour"},),
    ),
    Example(
        "relieved to no standard, its ramp of 20 degrees against a shoulder",
        ((0, 0), (60, 0), (60, 10), (36.2474774, 10), (33.5, 9), (30, 9), (30, 15), (0, 15)),
        ({"z_mm": (30, 36.2474774), "depth_mm": 1.0, "at_shoulder": "low",
          "wall_angles_deg": (0.0, 70.0)},),
    ),
    Example(
        "dovetail: undercut walls count negative",
        _shaft((32, 10), (33, 7), (27, 7), (28, 10)),
        ({"z_mm": (28, 32), "width_mm": 4.0, "depth_mm": 3.0,
          "wall_angles_deg": (-18.434949, -18.434949)},),
    ),
    Example(
        "between lips of unlike height, the lower one counts",
        ((0, 0), (60, 0), (60, 9), (33, 9), (33, 6), (30, 6), (30, 10), (0, 10)),
        ({"z_mm": (30, 33), "diameter_mm": (12, 18), "depth_mm": 3.0},),
    ),
    Example(
        "a gland of 3.53 beside a land that stands 0.5 higher: no undercut",
        ((0, 0), (60, 0), (60, 25), (34.8, 25), (34.8, 22.2), (30, 22.2), (30, 25.5), (0, 25.5)),
        ({"z_mm": (30, 34.8), "depth_mm": 2.8,
          "matches": ("3.53 static, radial outside",)},),
    ),
    Example(
        "relieved in cylinder and face to no standard's sizes",
        ((0, 0), (60, 0), (60, 20), (33.5, 20), (32.4, 19.6), (29.8, 19.6), (30, 21), (30, 26),
         (0, 26)),
        ({"z_mm": (29.857143, 33.5), "at_shoulder": "low", "face_depth_mm": 0.2},),
    ),
    Example(
        "the corner of an insert of 60 degrees sunk beside a shoulder: H0.8x0.3",
        ((0, 0), (60, 0), (60, 20), (31.97493724, 20),
         *fillet((31.97493724, 20), (29.61862915, 19.36862915), (30, 20.79192454), 0.8),
         (30, 20.79192454), (30, 26), (0, 26)),
        ({"z_mm": (29.78780446, 31.97493724), "depth_mm": 0.3, "at_shoulder": "low",
          "face_depth_mm": 0.05, "matches": ("H0.8x0.3",)},),
    ),
    Example(
        "a ball on a neck: the ball is no groove's wall",
        ((0, 0), (11.196152, 0), (17, 0), (17, 4), (15.196152, 4), (15.196152, 3), (11.196152, 3),
         ArcTo(0, 0, (6, 0), False)),
    ),
    Example(
        "T: wider at its foot than at its mouth, where no tool comes along the axis",
        ((0, 0), (60, 0), (60, 30), (33, 30), (33, 26), (36, 26), (36, 22), (27, 22), (27, 26),
         (30, 26), (30, 30), (0, 30)),
        ({"z_mm": (30, 33), "diameter_mm": (44, 60), "form": "T", "depth_mm": 8.0},),
    ),
    Example(
        "square to a taper: its floor overhangs the mouth, and it is no T",
        ((0, 0), (80, 0), (80, 20), (60, 20), (33.9862, 17.83218), (34.2353, 14.84254),
         (30.2491, 14.51036), (30, 17.5), (0, 15)),
        ({"form": "square", "in_taper_deg": 4.763649},),
    ),
    Example(
        "a relief at 45 degrees into a corner: its walls go on past its mouth",
        ((0, 0), (70, 0), (70, 30), (50, 30), (50, 22), (51, 21), (49, 19), (48, 20), (0, 20)),
    ),
    Example(
        "an undercut at a tall shoulder: the shoulder stays a shoulder",
        ((0, 0), (60, 0), (60, 9), (33, 9), (33, 8), (30, 8), (30, 20), (0, 20)),
        ({"z_mm": (30, 33), "diameter_mm": (16, 18), "depth_mm": 1.0},),
    ),
    Example(
        "in a taper",
        ((0, 0), (60, 0), (60, 5), (33, 9.5), (33, 6), (30, 6), (30, 10), (0, 15)),
        ({"z_mm": (30, 33), "diameter_mm": (12, 19), "width_mm": 3.0},),
    ),
    Example(
        "in one taper on both sides",
        ((0, 0), (60, 0), (60, 10), (33, 12.7), (33, 9), (30, 9), (30, 13), (0, 16)),
        ({"z_mm": (30, 33), "width_mm": 3.0, "in_taper_deg": 5.710593},),
    ),
    Example(
        "in one steep taper, whose upper wall rises far over the lower lip",
        ((0, 0), (60, 0), (60, 10), (33, 10 + 27 * 0.25), (33, 16), (30, 16), (30, 10 + 30 * 0.25),
         (0, 25)),
        ({"z_mm": (30, 33), "depth_mm": 0.75, "in_taper_deg": 14.036243},),
    ),
    Example(
        "three alike, for piston rings",
        _shaft((46, 10), (46, 8), (44, 8), (44, 10), (41, 10), (41, 8), (39, 8), (39, 10),
               (36, 10), (36, 8), (34, 8), (34, 10)),
        ({"z_mm": (34, 36), "alike": 3, "spacing_mm": 5.0}, {"z_mm": (39, 41), "alike": 3},
         {"z_mm": (44, 46), "alike": 3, "spacing_mm": 5.0}),
    ),
    Example(
        "undercut to E0.6x0.3 at a shoulder, its ramp of 15 degrees",
        ((0, 0), (60, 0), (60, 20), (32.5, 20), (31.38038476, 19.7),
         *fillet((31.38038476, 19.7), (30, 19.7), (30, 26), 0.6), (30, 26), (0, 26)),
        ({"z_mm": (30, 32.5), "width_mm": 2.5, "depth_mm": 0.3, "at_shoulder": "low",
          "matches": ("E0.6x0.3",)},),
    ),
    Example(
        "one within another",
        _shaft((36, 10), (36, 7), (33, 7), (33, 6), (31, 6), (31, 7), (28, 7), (28, 10)),
        ({"z_mm": (28, 36), "diameter_mm": (14, 20), "width_mm": 8.0, "depth_mm": 3.0,
          "alternative": "cylinder"},
         {"z_mm": (31, 33), "diameter_mm": (12, 14), "width_mm": 2.0, "depth_mm": 1.0}),
    ),
)  # fmt: skip
