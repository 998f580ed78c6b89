"""The surfaces one by one: what the design asks of each, what tools get at and cut of it.

Knows no holding and no order: tools as they sweep, stock as it stands, and the profile's segments.
"""
