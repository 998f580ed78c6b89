"""What stands in the shop beside its tools: chucks and collets, lathes, stock and its allowance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from turnability.cited import Cited
from turnability.shop.collets import COLLET_SETS, collets_of
from turnability.shop.holding import GENTLE, ON_FACE
from turnability.shop.lathe_numbers import wrong_of
from turnability.shop.material import COMMON_POLICY
from turnability.shop.model import Holding, Machine, Rates, StockPolicy, StockSize
from turnability.shop.usual_stock import FORM_OF, USUAL, usual_sizes
from turnability.toml_file.density import solid_density
from turnability.toml_file.keys import Checked, Fault, Faults, Key, shortened

MOST_RPM = 100_000.0
"""No spindle that holds work turns faster (from memory); what is asked of grip is as generous."""
_SOURCE = "where this number comes from"

HOLDING_KEYS = (
    Key("name", "text", "what the chuck or collet set is called", required=True),
    Key(
        "kind",
        "choice",
        'kind = "three-jaw"',
        required=True,
        choices=GENTLE,
    ),
    Key("usual", "choice", "the collets of this standard set", choices=COLLET_SETS),
    Key("collets_mm", "pairs", "ranges of the single collets, [[least, greatest], ...]"),
    Key("outside_mm", "span", "diameters it grips from outside, [least, greatest]"),
    Key("inside_mm", "span", "bores it grips from inside, [least, greatest]"),
    Key(
        "least_grip_mm",
        "length",
        "the shortest land it holds",
        default=10.0,
        least=0.0,
        most=1000.0,
    ),
    Key(
        "least_grip_per_diameter",
        "number",
        "the shortest land, by the diameter held",
        default=0.5,
        least=0.0,
        most=5.0,
    ),
    Key("jaw_length_mm", "length", "how far along the axis its jaws grip", least=1.0, most=1000.0),
    Key(
        "jaw_standoff_mm",
        "length",
        "what a tool stays clear of the jaws",
        default=2.0,
        least=0.0,
        most=200.0,
    ),
    Key("runout_mm", "length", "run-out of a part chucked again", least=0.0, most=5.0),
    Key(
        "max_rpm",
        "number",
        "highest speed engraved on the chuck",
        least=1.0,
        most=MOST_RPM,
    ),
    Key("source", "text", _SOURCE),
)
MACHINE_KEYS = (
    Key("name", "text", "what the lathe is called", required=True),
    Key("control", "choice", "manual or cnc", required=True, choices=("manual", "cnc")),
    Key("swing_mm", "length", "largest diameter over the bed"),
    Key("swing_over_cross_slide_mm", "length", "largest diameter over the cross slide"),
    Key("between_centres_mm", "length", "longest work between centres"),
    Key("spindle_bore_mm", "length", "bore of the spindle"),
    Key("bar_capacity_mm", "length", "largest bar fed through the spindle"),
    Key("max_rpm", "number", "highest speed of the spindle", least=1.0, most=MOST_RPM),
    Key("power_kw", "number", "power of the spindle", least=0.0),
    Key("tailstock", "flag", "true where it has a tailstock", default=False),
    Key("steady", "flag", "true where a steady rest is there", default=False),
    Key(
        "follow_rest",
        "flag",
        "true where a follow rest is there, which rides on the carriage behind the tool",
        default=False,
    ),
    Key("topslide_travel_mm", "length", "how far its topslide moves along itself, for tapers"),
    Key("source", "text", _SOURCE),
)
STOCK_KEYS = (
    Key(
        "form",
        "choice",
        "bar, tube, hex or pipe",
        required=True,
        choices=("bar", "tube", "hex", "pipe"),
    ),
    Key("name", "text", "what this stock is called"),
    Key("sizes_mm", "lengths", "diameters of bar, or hexagons across flats"),
    Key("tubes_mm", "pairs", "tubes and pipes, [[outside, inside], ...]"),
    Key("usual", "choice", "all usual sizes of this standard", choices=USUAL),
    Key("range_mm", "span", "of the usual sizes, only those whose outside lies in this range"),
    Key(
        "finish",
        "choice",
        "bright or hot-rolled; a rolled skin asks for more allowance",
        choices=("bright", "hot-rolled"),
    ),
    Key(
        "diameter_allowance_mm",
        "length",
        "how much larger than the part this stock must be, where that differs from the policy",
        least=0.0,
    ),
    Key(
        "eccentricity_mm",
        "length",
        "how far a tube's bore may lie off its outside",
        default=0.0,
        least=0.0,
    ),
    Key("bar_length_mm", "length", "length in which it is delivered", least=1.0),
    Key("price_per_kg", "number", "a kilogram of it, in the currency of the rates", least=0.0),
    Key("material", "text", "what this stock is of; left out, it is kept in every material"),
    Key("source", "text", _SOURCE),
)
POLICY_KEYS = (
    Key(
        "diameter_allowance_mm",
        "length",
        "how much larger than the part its bar must be, on diameter",
        least=0.0,
    ),
    Key(
        "bore_allowance_mm",
        "length",
        "how much smaller than the part's bore that of its tube must be; left out, the same",
        least=0.0,
    ),
    Key("end_allowance_mm", "length", "what is faced off at each end", least=0.0),
    Key("parting_width_mm", "length", "width lost in parting off", least=0.0, most=50),
    Key("density_kg_per_mm3", "number", "density of the material: 7.85e-6 for steel"),
    Key("material", "text", "the material this shop turns when the part says none"),
    Key("source", "text", "where the allowance comes from"),
)
RATE_KEYS = (
    Key("currency", "text", "what the prices are in", required=True),
    Key("machine_per_hour", "number", "an hour at the lathe, with whoever stands there", least=0.0),
    Key("programming_per_hour", "number", "an hour of preparing the work", least=0.0),
    Key("material_per_kg", "number", "a kilogram of stock", least=0.0),
    Key("source", "text", _SOURCE),
)


def holding_from(table: Mapping[str, Any]) -> Holding:
    """A chuck, an arbor or a collet set from its checked table. Raises Fault."""
    outside, collets = table["outside_mm"], tuple(table["collets_mm"] or ())
    if table["kind"] != "collet" and (collets or table["usual"] is not None):
        key = "collets_mm" if collets else "usual"
        raise Fault(key, f"does not go with {table['kind']}", 'Write kind = "collet"')
    if table["usual"] is not None:
        collets = collets or collets_of(table["usual"])
    if any(low > high for low, high in collets):
        raise Fault("collets_mm", "runs from more to less", "Write the smaller first")
    if outside is None and collets:
        outside = (min(low for low, _ in collets), max(high for _, high in collets))
    held_on_face = table["kind"] in ON_FACE
    if table["kind"] == "mandrel" and table["inside_mm"] is None:
        raise Fault(None, "is a mandrel without bores", "Add inside_mm = [least, greatest]")
    if outside is None and table["inside_mm"] is None and not held_on_face:
        raise Fault(None, "grips neither outside nor inside", "Add outside_mm = [least, greatest]")
    runout = table["runout_mm"]
    return Holding(
        name=table["name"],
        kind=table["kind"],
        outside_mm=outside,
        inside_mm=table["inside_mm"],
        least_grip_mm=table["least_grip_mm"],
        least_grip_per_diameter=table["least_grip_per_diameter"],
        jaw_standoff_mm=table["jaw_standoff_mm"],
        runout=None if runout is None else _stated(runout, "mm", table, "runout_mm"),
        max_rpm=table["max_rpm"],
        collets_mm=collets,
        jaw_length_mm=table["jaw_length_mm"],
    )


def machine_from(table: Mapping[str, Any]) -> Machine:
    """A lathe from its checked table. Raises Faults with all that cannot be meant."""
    if faults := wrong_of(table):
        raise Faults(faults)
    return Machine(**{name: value for name, value in table.items() if name != "source"})


def stock_from(table: Checked) -> list[StockSize]:
    """The sizes of one stock table. Raises Fault or Faults."""
    form, what = table["form"], table["name"] or table["form"]
    hollow = form in ("tube", "pipe")
    key, other = ("tubes_mm", "sizes_mm") if hollow else ("sizes_mm", "tubes_mm")
    if table[other] is not None:
        raise Fault(other, f"does not go with form {form}", f"Write {key}")
    if not table[key] and table["usual"] is None:
        raise Fault(None, f"has no {key}", f"Add the sizes of this {form}, or usual = ...")
    own = table["diameter_allowance_mm"]
    common = {
        "material": table["material"] or None,
        "allowance": None if own is None else _stated(own, "mm", table, "diameter_allowance_mm"),
        "eccentricity_mm": table["eccentricity_mm"],
        "bar_length_mm": table["bar_length_mm"],
        "price_per_kg": table["price_per_kg"],
    }
    found = [replace(size, **common) for size in _usual(table)]
    faults = []
    for entry, size in enumerate(table[key] or ()):
        outside, inside = size if hollow else (size, None)
        if inside is not None and inside >= outside:
            cause = (f"is a {form} of ", outside, " with a bore of ", inside)
            faults.append(Fault(key, cause, "Write [outside, inside]", entry))
        named = f"{what} {table.size(key, outside)}"
        if inside is not None:
            named += f" × {table.size(key, inside)}"
        found.append(
            StockSize(
                form,
                named,
                outside,
                inside,
                table["source"],
                finish=table["finish"],
                **common,
            )
        )
    if faults:
        raise Faults(shortened(key, faults))
    return found


def _usual(table: Checked) -> list[StockSize]:
    """The usual sizes that the table asks for. Raises Fault."""
    usual, limits = table["usual"], table["range_mm"]
    if usual is None:
        if limits is not None:
            raise Fault("range_mm", "goes with usual alone", "Leave it out, or add usual = ...")
        return []
    if FORM_OF[usual] != table["form"]:
        raise Fault("usual", f"is of form {FORM_OF[usual]}", f'Write form = "{FORM_OF[usual]}"')
    low, high = limits or (0.0, float("inf"))
    found = [size for size in usual_sizes(usual) if low <= size.across_mm <= high]
    if not found:
        raise Fault("range_mm", "holds none of the usual sizes", "Widen it")
    return found


def rates_from(table: Mapping[str, Any]) -> Rates:
    """What work costs here, from its checked table."""
    return Rates(**table)


def policy_from(table: Mapping[str, Any]) -> StockPolicy:
    """The stock policy from its checked table, what it leaves out by common practice.

    Raises Fault.
    """
    allowance, bore = table["diameter_allowance_mm"], table["bore_allowance_mm"]
    stated: dict[str, Any] = {
        "diameter_allowance": None
        if allowance is None
        else _stated(allowance, "mm", table, "diameter_allowance_mm"),
        "end_allowance_mm": table["end_allowance_mm"],
        "parting_width_mm": table["parting_width_mm"],
    }
    unstated = frozenset(name for name, value in stated.items() if value is None)
    return replace(
        COMMON_POLICY,
        **{name: value for name, value in stated.items() if name not in unstated},
        density_kg_per_mm3=solid_density(table["density_kg_per_mm3"]),
        material=table["material"],
        bore_allowance=None if bore is None else _stated(bore, "mm", table, "bore_allowance_mm"),
        unstated=unstated,
    )


def _stated(value: float, unit: str, table: Mapping[str, Any], key: str) -> Cited:
    """A shop's own number; unverified, since it is the shop that says it."""
    return Cited(value, unit, table["source"] or "the shop file", f"key {key}", False)
