"""One kind of departure, one file, found by being there.

Each file has `KIND` (the contract's name), `FORM` (what `parameters["form"]` says, where one file
of several of a kind says it; else None), `RANK` (lower ranks claim first), `find(cuts)` -> claims,
and `EXAMPLES` drawn in CadQuery, harmless ones first. A contract test runs them all.
"""
