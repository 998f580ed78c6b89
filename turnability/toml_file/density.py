"""The density of a material as files state it, and what may be meant where no solid has it."""

from __future__ import annotations

from turnability.toml_file.keys import Fault

DENSITIES_KG_PER_MM3 = (1.0e-7, 2.3e-5)
"""From foam (0.1 g/cm3, common practice) to just above osmium (22.6 g/cm3, from memory)."""
_OTHER_DENSITIES = {"g/cm³": 1e-6, "kg/m³": 1e-9, "t/mm³": 1e3}
"""Units that a density is found in elsewhere, in kg/mm3 (exact)."""


def solid_density(value: float | None) -> float | None:
    """The density in kg/mm3. Raises Fault where nothing solid has it, with what may be meant."""
    least, most = DENSITIES_KG_PER_MM3
    if value is None or least <= value <= most:
        return value
    remedy = "Steel is 7.85e-6, aluminium 2.7e-6; leave the key out if it is not known"
    for unit, kg_per_mm3 in _OTHER_DENSITIES.items():
        if least <= value * kg_per_mm3 <= most:
            remedy = (
                f"If {value:g} {unit} is meant, write density_kg_per_mm3 = {value * kg_per_mm3:.6g}"
            )
            break
    raise Fault(
        "density_kg_per_mm3",
        f"is {value:g} kg/mm³, but solids lie between {least:g} and {most:g} kg/mm³",
        remedy,
    )
