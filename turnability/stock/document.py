"""What is said of the stock, as the report's plain values."""

from __future__ import annotations

from typing import Any

from turnability.stock.model import Split, Stock, StockPiece

Json = dict[str, Any]


def stock_document(stock: Stock) -> Json:
    """The contract's keys, and beside them stubs, pieces a bar, costs and what decided."""
    return {
        "choice": stock.choice and piece_document(stock.choice),
        "alternatives": [
            {**piece_document(piece), "why": piece.why} for piece in stock.alternatives
        ],
        "removed_fraction": stock.removed_fraction,
        "split": stock.split and _split(stock.split),
        "chosen_by": stock.chosen_by,
    }


def piece_document(piece: StockPiece) -> Json:
    """One piece: a bar by its diameter, a hexagon across flats, a tube by all three."""
    size: Json
    if piece.form == "bar":
        size = {"diameter_mm": piece.across_mm}
    elif piece.form == "hex":
        size = {"across_flats_mm": piece.across_mm}
    else:
        inner = piece.inner_diameter_mm
        size = {
            "outer_diameter_mm": piece.across_mm,
            "inner_diameter_mm": inner,
            "wall_mm": None if inner is None else (piece.across_mm - inner) / 2.0,
        }
    return {
        "form": piece.form,
        **size,
        "length_mm": piece.length_mm,
        "mass_kg": piece.mass_kg,
        "name": piece.name,
        "stub_mm": piece.stub_mm,
        "fed": piece.fed,
        "parts_per_sawn_piece": None if piece.fed else piece.parts,
        "bar_length_mm": piece.bar_length_mm,
        "per_bar": piece.per_bar,
        "cost": piece.cost,
        "outside_stays": piece.own_outside,
    }


def _split(split: Split) -> Json:
    return {
        "at_z_mm": split.at_z_mm,
        "saved_mass_kg": split.saved_mass_kg,
        "saved_fraction": split.saved_fraction,
        "z_mm": split.z_mm,
        "flange_diameter_mm": split.flange_mm,
        "core_diameter_mm": split.core_mm,
        "core_stock": split.core_stock,
        "flange_stock": split.flange_stock,
        "saved_cost": split.saved_cost,
    }
