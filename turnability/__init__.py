"""Says which round parts a shop's lathes, grips and tools can really make, and what to change."""

__version__ = "0.1.0"
