"""Says which round parts a shop's lathes, grips and tools can really make, and what to change.

from turnability import analyze

report = analyze("housing.step")
for finding in report.findings:
    print(finding.level, finding.message)
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from turnability.analysis import analyze, analyze_all
    from turnability.intent.load import load_intent
    from turnability.intent.model import Intent
    from turnability.report import Report
    from turnability.rules.model import Finding
    from turnability.shop.load import load_shop
    from turnability.shop.model import Shop

__version__ = "0.1.0"
__all__ = [
    "Finding",
    "Intent",
    "Report",
    "Shop",
    "__version__",
    "analyze",
    "analyze_all",
    "load_intent",
    "load_shop",
]

_HOMES = {
    "analyze": "turnability.analysis",
    "analyze_all": "turnability.analysis",
    "Intent": "turnability.intent.model",
    "load_intent": "turnability.intent.load",
    "Report": "turnability.report",
    "Finding": "turnability.rules.model",
    "Shop": "turnability.shop.model",
    "load_shop": "turnability.shop.load",
}


def __getattr__(name: str) -> Any:
    """Fetch a public name when it is first asked for: `--help` must not wait for numpy."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)
