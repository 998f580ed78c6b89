"""Materials by their standard designations, with what turning and bending ask of them.

The numbers stand in `tables/materials.csv`, each with its source and whether it was borne out.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache

from turnability.cited import Cited
from turnability.shop.books import Row, rows
from turnability.shop.model import Shop

_TABLE = "materials"
DEFAULT = "C45"
"""Taken where neither the intent nor the shop names a material: a usual medium-carbon steel."""
_ALIKE = 0.05
_STEELS = ("P", "M", "H")
"""Groups of ISO 513: steel, stainless steel, hardened steel."""
_STANDARD = re.compile(r"^(en\s*aw|aisi|sae|astm|uns|din|en|aa)[\s\-.:]+")
_CONDITION = re.compile(r"[\s\-+,]+(t\d+|n|qt|ann|annealed|cold-?drawn|c|h\d+|o)$")


@dataclass(frozen=True, slots=True)
class Material:
    """One material. Forces in N and mm, speeds in m/min, feeds in mm/rev, None where unknown.

    `e`, `poisson`, `yield_strength` (N/mm²) and `density` (kg/m³) are those of the usual
    condition; `kc11` (N/mm²) and `mc` make the main force of Kienzle's formula, `kc_doubt` says
    what is known of them where they were not borne out. `carbide` and `hss` are cutting speeds
    to begin with, from and to. `group` is the letter of ISO 513.
    """

    name: str
    group: str
    density: Cited
    e: Cited
    poisson: float
    yield_strength: Cited | None
    kc11: Cited
    mc: Cited
    kc_doubt: str | None
    carbide: tuple[Cited, Cited]
    hss: tuple[Cited, Cited]
    feed: tuple[Cited, Cited]

    @property
    def density_kg_per_mm3(self) -> float:
        """Density in kg/mm³."""
        return self.density.value * 1e-9


@dataclass(frozen=True, slots=True)
class Chosen:
    """The material to reckon with. `named` is what was asked for, None where nobody named one.

    `stands_for` is True where a plain word ("steel", or nothing at all) stands for this material.
    """

    material: Material
    named: str | None
    stands_for: bool


@cache
def all_materials() -> tuple[Material, ...]:
    """Every material of the table."""
    return tuple(_material(entry) for entry in rows(_TABLE))


@lru_cache(maxsize=256)
def find_material(text: str) -> Chosen | None:
    """The material that a designation or a plain word names; None where the table has none.

    Spaces, hyphens, case, the name of the standard before and the condition behind make no
    difference: "EN AW-6082 T6", "aisi 316l", "42CrMo4+QT".
    """
    exact, words = _index()
    asked = _plain(text)
    for key in _shapes(text):
        if key in exact:
            return Chosen(_named(exact[key]), text, stands_for=False)
    if asked in words:
        return Chosen(_named(words[asked]), text, stands_for=True)
    return None


def material_of(shop: Shop) -> Chosen | None:
    """The material this shop works here; the usual steel where none is named, None if unknown.

    Of a material that is named but stands in no table nothing is made up.
    """
    named = shop.stock_policy.material if shop.stock_policy is not None else None
    if named is None or not named.strip():
        return Chosen(_named(DEFAULT), None, stands_for=True)
    return find_material(named)


def is_steel(text: str) -> bool:
    """Whether a name is of a steel, stainless ones too; what no table holds is none."""
    chosen = find_material(text)
    return chosen is not None and chosen.material.group in _STEELS


def same_material(one: str, other: str) -> bool:
    """Whether two names are of one material: alike as words, or by the table.

    A plain word ("steel", "aluminium") takes in all that is of its kind: of the same group of
    ISO 513 and nearly as dense.
    """
    if _plain(one) == _plain(other):
        return True
    a, b = find_material(one), find_material(other)
    if a is None or b is None:
        return False
    if a.material.name == b.material.name:
        return True
    alike = abs(a.material.density.value / b.material.density.value - 1.0) <= _ALIKE
    return (a.stands_for or b.stands_for) and a.material.group == b.material.group and alike


def _named(name: str) -> Material:
    return next(material for material in all_materials() if material.name == name)


@cache
def _index() -> tuple[dict[str, str], dict[str, str]]:
    """Plain designations and plain words, each to a material's name."""
    exact: dict[str, str] = {}
    words: dict[str, str] = {}
    for entry in rows(_TABLE):
        for text in entry["designations"].split(";"):
            exact[_plain(text)] = entry["name"]
        for text in filter(None, entry["generic"].split(";")):
            words[_plain(text)] = entry["name"]
    return exact, words


def _plain(text: str) -> str:
    return re.sub(r"[\s\-_/]+", "", text.strip().casefold())


def _shapes(text: str) -> list[str]:
    """A designation as it stands, without its standard's name, and without its condition.

    Last the words of it that hold a digit ("stainless steel 1.4404").
    """
    whole = text.strip().casefold()
    found = [whole, re.sub(r"[\s,]*\(.*\)$", "", whole)]
    found += [_STANDARD.sub("", given) for given in found]
    found += [_CONDITION.sub("", given) for given in found]
    found += [word for word in re.split(r"[\s,;/()]+", whole) if re.search(r"\d", word)]
    return list(dict.fromkeys(_plain(given) for given in found if given))


def _material(entry: Row) -> Material:
    kc_known = entry["kc_verified"].startswith("yes")

    def book(column: str, unit: str) -> Cited:
        return Cited(
            float(entry[column]), unit, entry["source"], f"{entry['name']}, {column}", False
        )

    def force(column: str, unit: str) -> Cited:
        place = f"{entry['name']}, {column}"
        return Cited(float(entry[column]), unit, entry["kc_source"], place, kc_known)

    return Material(
        name=entry["name"],
        group=entry["group"],
        density=book("density_kg_per_m3", "kg/m³"),
        e=book("e_n_per_mm2", "N/mm²"),
        poisson=float(entry["poisson"]),
        yield_strength=book("yield_n_per_mm2", "N/mm²") if entry["yield_n_per_mm2"] else None,
        kc11=force("kc11_n_per_mm2", "N/mm²"),
        mc=force("mc", "-"),
        kc_doubt=None if kc_known else entry["kc_verified"],
        carbide=(book("vc_carbide_from", "m/min"), book("vc_carbide_to", "m/min")),
        hss=(book("vc_hss_from", "m/min"), book("vc_hss_to", "m/min")),
        feed=(book("feed_from_mm", "mm"), book("feed_to_mm", "mm")),
    )
