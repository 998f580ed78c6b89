"""Shop files written for tests."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any


def value_text(value: Any) -> str:
    if isinstance(value, list | tuple):
        return "[" + ", ".join(value_text(v) for v in value) + "]"
    if isinstance(value, float) and not math.isfinite(value):
        return "nan" if math.isnan(value) else ("inf" if value > 0 else "-inf")
    return json.dumps(value)


def table_text(table: Mapping[str, Any], header: str = "[[tool]]") -> str:
    return "\n".join([header, *(f"{k} = {value_text(v)}" for k, v in table.items())]) + "\n"
