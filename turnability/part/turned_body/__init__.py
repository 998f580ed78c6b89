"""The union of the half-sections over all angles, cell by cell, exact."""
