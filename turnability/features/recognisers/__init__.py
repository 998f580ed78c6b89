"""One recogniser, one file, found by being there.

Each file has `KIND` (the contract's name of what it finds), `RANK` (who comes first to a segment
that two would claim: a lower rank does, and later ones see it taken), `find(chain)` and
`EXAMPLES`, harmless ones first. A contract test runs them all.
"""
