"""A drawn report that has something of everything; its stages stand as drawn and prove nothing."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from turnability.features.model import Feature, StandardMatch
from turnability.half_plane.curves import Arc, Line, Point, Spline
from turnability.part.model import Axis, Departure, Face, Part, Profile, Source, Symmetry
from turnability.part.profile import Piece, make_profile
from turnability.reach.model import Left, Needed, Reach, ToolReach
from turnability.report import Report
from turnability.rules.model import Assumption, Basis, Change, Finding, RuleStatus, Where
from turnability.setups.bending_model import Bending
from turnability.setups.model import Datum, Grip, Operation, Setup, SetupLeft
from turnability.stock.model import Split, Stock, StockPiece

SOURCE = Source(
    path="float_housing.step",
    sha256="ab" * 32,
    product="float housing",
    solid=1,
    solids=1,
    length_unit="mm",
    step_schema="AP214",
    originating_system=None,
)


def housing_profile() -> Profile:
    """A bored housing: flange, groove, fillet, spline, chamfer, a recess behind its entry."""
    corners: list[Point] = [
        (0, 20), (60, 20), (60, 26), (75, 26), (75, 20), (110, 20), (112, 22), (112, 30),
        (92, 30), (92, 27), (86, 27), (86, 30), (30, 30),
    ]  # fmt: skip
    pieces: list[Piece] = [(Line(a, b), (i,)) for i, (a, b) in enumerate(pairwise(corners), 1)]
    pieces.append((Spline(((30, 30), (27, 30.4), (24, 31.5), (20, 34))), (13,)))
    pieces.append((Line((20, 34), (20, 41)), (14,)))
    pieces.append((Arc((20, 41), (16, 45), (16, 41), 4.0, clockwise=False), (15,)))
    pieces.append((Line((16, 45), (0, 45)), (16,)))
    pieces.append((Line((0, 45), (0, 20)), (17,)))
    return make_profile([pieces], solid_volume_mm3=None, departures_volume_mm3=None)


def named(profile: Profile, face: int) -> str:
    """The id of the segment that a face makes."""
    return next(s.id for s in profile.segments if face in s.faces)


def housing_report() -> Report:
    """The report that the schema, the outputs and their tests are tried on."""
    profile = housing_profile()
    id_of = {face: named(profile, face) for face in range(1, 18)}
    faces = tuple(
        Face(s.faces[0], 100 + s.faces[0], s.surface, (s.id,))  # type: ignore[arg-type]
        for s in profile.segments
    )
    volume = profile.volume_mm3
    part = Part(
        source=SOURCE,
        axis=Axis((1.0, 2.0, -0.0), (0.0, 0.0, 1.0)),
        symmetry=Symmetry(0.98, ("D1",), None),
        faces=(*sorted(faces, key=lambda face: face.index), Face(18, 300, "milled")),
        profile=replace(profile, solid_volume_mm3=volume - 900.0, departures_volume_mm3=900.0),
        departures=(
            Departure(
                "D1", "bolt-circle", (18,), 900.0, (0.0, 20.0),
                {"count": 6, "circle_diameter_mm": 76.0, "hole_diameter_mm": 5.5},
            ),
        ),
    )  # fmt: skip
    features = (
        _feature("F1", "face", "end", (0, 0), (40, 90), (id_of[17],)),
        _feature("F2", "cylinder", "outer", (0, 16), (90, 90), (id_of[16],)),
        _feature("F3", "fillet", "outer", (16, 20), (82, 90), (id_of[15],), {"radius_mm": 4.0}),
        _feature("F4", "shoulder", "end", (20, 20), (68, 82), (id_of[14],)),
        _feature("F5", "contour", "outer", (20, 30), (60, 68), (id_of[13],)),
        _feature("F6", "cylinder", "outer", (30, 112), (60, 60), (id_of[12], id_of[8])),
        replace(
            _feature(
                "F7", "groove", "outer", (86, 92), (54, 60),
                (id_of[9], id_of[10], id_of[11]),
                {"width_mm": 6.0, "depth_mm": 3.0, "floor_radius_mm": 0.0,
                 "wall_angles_deg": (0.0, 0.0)},
            ),
            matches=(StandardMatch("ISO 3601-2", "O-ring groove 3.55", 0.01),),
        ),
        _feature(
            "F8", "bore", "inner", (0, 110), (40, 40), (id_of[1], id_of[5]),
            {"depth_mm": 110.0, "through": True, "bottom": "open"},
        ),
        _feature(
            "F9", "recess", "inner", (60, 75), (40, 52), (id_of[2], id_of[3], id_of[4]),
            {"width_mm": 15.0, "depth_mm": 6.0, "floor_radius_mm": 0.0,
             "wall_angles_deg": (0.0, 0.0), "entry_diameter_mm": 40.0, "entry_side": "both"},
        ),
        _feature(
            "F10", "chamfer", "inner", (110, 112), (40, 44), (id_of[6],),
            {"size_mm": 2.0, "angle_deg": 45.0},
        ),
    )  # fmt: skip
    left = (
        Left(
            "L1", (id_of[2], id_of[3]), 1.5, 240.0,
            ((60, 24.5), (62, 26), (60, 26)), 0.9, ("nose-radius",), "bar 12",
            Needed("nose_radius_mm", 0.2, "mm"),
        ),
        Left(
            "L2", (id_of[9],), 0.8, 150.0, ((90, 27), (92, 27), (92, 28)), 0.6,
            ("blade-width", "blade-depth"), None, None,
        ),
    )  # fmt: skip
    findings = (
        Finding(
            "unreached-surface", "error",
            "No tool of the shop clears the corner of the recess: the bar's nose is too round.",
            Where((id_of[2], id_of[3]), (2, 3), ("F9",), (60.0, 62.0), (48.0, 52.0)),
            Basis("Reach of every tool of the shop from either end.", "geometry"),
            0.0, 0.4, "mm",
            Change("Give the recess corners a radius of 0.4 mm", "floor_radius_mm", 0.0, 0.4, True),
            "N1",
        ),
        Finding(
            "sharp-inside-corner", "warning", "The groove's corners are drawn sharp.",
            Where((id_of[10],), (10,), ("F7",), (86.0, 92.0), (54.0, 54.0)),
            Basis("Common practice, no source.", "common-practice"), 0.0, 0.2, "mm", None, "N2",
        ),
        Finding(
            "outside-near-stock-size", "note", "⌀90 is a bar's own size.",
            Where((id_of[16],), (16,), ("F2",), (0.0, 16.0), (90.0, 90.0)),
            Basis("The shop's stock list.", "shop"), 90.0, None, "mm", None, "N3",
        ),
    )  # fmt: skip
    return Report(
        turnability_version="0.1.0",
        part=part,
        shop_name="drawn shop",
        shop_sha256="0" * 64,
        options={},
        verdict="needs-changes",
        features=features,
        reach=Reach(
            (ToolReach("bar 12", "high", (id_of[1], id_of[5])),), left, ("bar 12",), (id_of[13],)
        ),
        setups=(
            Setup(
                1, "low", Grip("raw bar", "outer", (-20.0, 0.0), 95.0, 20.0),
                Datum(None, "raw stock"), "none",
                (Operation("turn 95", (id_of[12],), "turning"),), (),
            ),
            Setup(
                2, "high", Grip("three-jaw", "outer", (94.0, 112.0), 60.0, 18.0),
                Datum(id_of[8], "turned in setup 1"), "none",
                (Operation("turn 95", (id_of[16], id_of[17]), "turning"),),
                (SetupLeft((id_of[2],), ("nose-radius",)),),
                Bending(0.004, 10.0, 240.0, 94.0, 1.57),
            ),
        ),
        stock=Stock(
            StockPiece("bar", "round 95", 95.0, None, 117.0, 6.51, "smallest that holds the part"),
            (
                StockPiece("tube", "tube 95 × 30", 95.0, 35.0, 117.0, 5.6, "more dear"),
                StockPiece("hex", "hex 100", 100.0, None, 117.0, 7.9, "heavier"),
            ),
            0.71,
            Split(20.0, 3.2, 0.49),
        ),
        findings=findings,
        rules=(
            RuleStatus("unreached-surface", "found"),
            RuleStatus("no-land-to-grip", "passed"),
            RuleStatus("long-slender", "not-judged", "the shop states no machine"),
        ),
        assumptions=(Assumption("material", "steel", "not stated", "in the shop file"),),
        timings_s={"read": 0.01, "axis": 0.001, "profile": 0.002},
    )  # fmt: skip


def plate_report() -> Report:
    """A part that no axis carries."""
    part = Part(
        source=replace(SOURCE, path="plate.step"),
        axis=None,
        symmetry=Symmetry(0.31, (), "31 % of the surface turns about the nearest axis"),
        faces=(Face(1, 12, "unknown"),),
        profile=None,
        departures=(),
    )
    finding = Finding(
        "not-axisymmetric", "error", "No axis carries this part.", Where((), (1,)),
        Basis("Share of the surface that turns.", "geometry"), 0.31, 0.5, None, None, "N1",
    )  # fmt: skip
    return Report(
        "0.1.0", part, "drawn shop", "0" * 64, {}, "not-axisymmetric", (), None, (), None,
        (finding,), (), (), {},
    )  # fmt: skip


def disc_report(diameter_mm: float = 120.0, length_mm: float = 1.5) -> Report:
    """A bored disc or rod, for the drawing's extremes of proportion."""
    r = diameter_mm / 2.0
    corners: list[Point] = [(0, r / 4), (length_mm, r / 4), (length_mm, r), (0, r)]
    pieces: list[Piece] = [
        (Line(a, b), (i,))
        for i, (a, b) in enumerate(zip(corners, corners[1:] + corners[:1]), 1)  # noqa: B905
    ]
    profile = make_profile([pieces])
    part = replace(housing_report().part, profile=profile, departures=(), faces=())
    kinds = ("bore", "face", "cylinder", "face")
    features = tuple(
        _feature(
            f"F{i}",
            kind,
            s.surface,
            (0, length_mm),
            (r / 2, 2 * r),
            (s.id,),
            {"depth_mm": length_mm, "through": True, "bottom": "open"} if kind == "bore" else None,
        )
        for i, (kind, s) in enumerate(zip(kinds, profile.segments, strict=True), 1)
    )
    return replace(
        housing_report(), part=part, features=features, reach=None, setups=(), stock=None,
        findings=(), verdict="turnable",
    )  # fmt: skip


def _feature(
    name: str,
    kind: str,
    surface: str,
    z: tuple[float, float],
    d: tuple[float, float],
    segments: tuple[str, ...],
    parameters: dict[str, object] | None = None,
) -> Feature:
    faces = tuple(int(segment[1:]) for segment in segments)
    return Feature(name, kind, surface, z, d, segments, faces, parameters or {})  # type: ignore[arg-type]
