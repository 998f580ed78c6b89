"""For CadQuery: `Workplane.turnability()`, and reports that show themselves.

    import turnability.cadquery

    report = part.turnability(shop="our_bench.toml")     # the report
    part.turnability(tell=print).faces(">Z")             # tells, and goes on with the chain
    show_object(report.assembly())                       # coloured faces, uncut bodies

Assemblies, shapes and whatever else wraps a kernel shape go to `report_of` and `reports_of`.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

import cadquery as cq

from turnability.analysis import PartLike, ShopLike, analyze, shop_of
from turnability.analysis.intents import IntentLike
from turnability.part.model import Instance
from turnability.report import Report
from turnability.testing import assert_turnable

if TYPE_CHECKING:
    from turnability.part.writing.marks import Body

__all__ = ["ShapeReport", "assert_turnable", "report_of", "reports_of"]


@dataclass(frozen=True, slots=True, repr=False)
class ShapeReport:
    """The report of one solid, with the solid. All that `Report` has can be asked of it too."""

    report: Report
    solid: cq.Solid

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__") or name in ("report", "solid"):  # not yet there when unpickled
            raise AttributeError(name)
        return getattr(self.report, name)

    def __repr__(self) -> str:
        return repr(self.report)

    def __str__(self) -> str:
        from turnability.outputs.summary import summary_lines

        return "\n".join(str(line) for line in summary_lines(self.report))

    def _repr_html_(self) -> str:
        """For notebooks: the drawing and the summary, whole in itself, all text escaped."""
        from turnability.outputs.meridian_svg import drawing

        # As an image the drawing's own ids and styles stay its own.
        image = base64.b64encode(drawing(self.report).encode()).decode("ascii")
        name = escape(f"{self.report.name}: {self.report.verdict}", quote=True)
        return (
            f'<figure style="margin:0"><img alt="{name}" style="max-width:100%;background:#fff" '
            f'src="data:image/svg+xml;base64,{image}"><figcaption>'
            f'<pre style="white-space:pre-wrap">{escape(str(self))}</pre></figcaption></figure>'
        )

    def assembly(self, *, grips: bool = False, stock: bool = False) -> cq.Assembly:
        """The part for a viewer: its faces by the colours of the annotated STEP, uncut bodies.

        One child for each colour, for viewers show no colours of single faces. `grips` and `stock`
        add what is held and what it is cut from, to be looked through.
        """
        from turnability.outputs._bodies import bodies_of
        from turnability.outputs._palette import MARKS, MATERIAL, rgb
        from turnability.outputs.annotated_step import face_marks
        from turnability.part.reading.topology import faces_of
        from turnability.part.writing.bodies import shape_of

        whole = cq.Assembly(name=f"{self.report.name}: {self.report.verdict}")
        colours = {mark.face: mark.colour for mark in face_marks(self.report)}
        names: dict[Any, str] = {rgb(colour): mark for mark, colour in MARKS.items()}
        groups: dict[str, list[cq.Face]] = {}
        for index, face in enumerate(faces_of(self.solid.wrapped), 1):
            group = names.get(colours.get(index), "part")
            groups.setdefault(group, []).append(cq.Face(face))
        for group, faces in groups.items():
            colour = cq.Color(*rgb(MARKS.get(group, MATERIAL)))  # type: ignore[call-overload]
            whole.add(cq.Compound.makeCompound(faces), name=group, color=colour)
        bodies = bodies_of(self.report)
        for body in bodies.bodies if bodies else ():
            if _wanted(body, grips, stock) and (shape := shape_of(body, bodies)):  # type: ignore[arg-type]
                shown = cq.Color(*body.colour, body.opacity)
                whole.add(cq.Shape.cast(shape), name=body.name, color=shown)
        return whole

    def write(
        self, folder: str | Path, name: str | None = None, formats: Sequence[str] = ()
    ) -> tuple[Path, ...]:
        """Write the results that the command line writes, the annotated STEP among them.

        `name` is what they are called, else the part's own. Raises OutputUnwritable.
        """
        from turnability.outputs import write_all

        stem = Path("".join("_" if c in '/\\:*?"<>|\0' else c for c in name or self.report.name))
        shape = self.solid.wrapped
        return tuple(write_all(self.report, Path(folder), stem, formats=formats, shape=shape))


def report_of(
    part: PartLike,
    shop: ShopLike = None,
    *,
    intent: IntentLike = None,
    solid: int | None = None,
    name: str | None = None,
) -> ShapeReport:
    """The report of one solid; `name` is what the part is called. Else as `turnability.analyze`."""
    from turnability.part.reading.shape import solids_of

    report = analyze(part, shop, intent=intent, solid=solid)
    own = solids_of(part)[report.part.source.solid - 1]
    named = name or report.part.source.product
    source = replace(report.part.source, product=named)
    return ShapeReport(_with(report, source=source), cq.Solid(own.shape))


def reports_of(
    parts: PartLike, shop: ShopLike = None, *, intent: IntentLike = None
) -> tuple[ShapeReport, ...]:
    """A report for each solid of an assembly, workplane, shape or sequence.

    A solid that an assembly places several times has one, in its own coordinates;
    `report.part.source.instances` says where it stands. Its name is that of its first place.
    Raises PartUnreadable where there is none, for a test over nothing passes.
    """
    from turnability.part.reading.shape import refuse_nothing

    chosen = shop_of(shop)
    solids: list[tuple[cq.Solid, list[Instance]]] = []
    count = 0
    for path, solid in _placed(parts):
        count += 1
        known = next((own for same, own in solids if solid.wrapped.IsEqual(same.wrapped)), None)
        if known is None:
            solids.append((solid, known := []))
        known.append(Instance(count, path))
    if not solids:
        refuse_nothing(parts)
    found = []
    for solid, instances in solids:
        report = analyze(solid, chosen, intent=intent)
        first = instances[0]
        source = replace(
            report.part.source,
            solid=first.solid,
            solids=count,
            product=first.path[-1] if first.path else None,
            instances=tuple(instances) if first.path else (),
        )
        found.append(ShapeReport(_with(report, source=source), solid))
    return tuple(found)


def _with(report: Report, **changes: Any) -> Report:
    return replace(report, part=replace(report.part, **changes))


def _wanted(body: Body, grips: bool, stock: bool) -> bool:
    return grips if body.name.startswith("grip") else stock if body.opacity < 1.0 else True


def _placed(parts: PartLike) -> Iterator[tuple[tuple[str, ...], cq.Solid]]:
    """Each solid with the names that lead to it; an assembly's without its placements."""
    from turnability.part.reading.shape import solids_of

    if isinstance(parts, cq.Assembly):
        for shape, name, *_ in parts:
            for solid in shape.Solids():
                yield tuple(name.split("/")), solid
        return
    for read in solids_of(parts):
        yield (), cq.Solid(read.shape)


def _turnability(
    self: cq.Workplane,
    shop: ShopLike = None,
    *,
    intent: IntentLike = None,
    solid: int | None = None,
    name: str | None = None,
    tell: Callable[[ShapeReport], object] | None = None,
) -> Any:
    """Say what the shop can and cannot make of the solid on the stack.

    Gives the report, or, where `tell` is given, hands it to that and gives the workplane itself.
    Other arguments as `turnability.cadquery.report_of`.
    """
    report = report_of(self, shop, intent=intent, solid=solid, name=name)
    if tell is None:
        return report
    tell(report)
    return self


setattr(cq.Workplane, "turnability", _turnability)  # noqa: B010 (a name that CadQuery lacks)
