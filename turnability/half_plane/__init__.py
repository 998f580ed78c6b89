"""Geometry in (z, r): knows no part and no tool."""
