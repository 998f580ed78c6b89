"""What a tool takes in a cut, and how fast: passes, feeds, speeds, forces, power, roughness.

Knows how the work is held, and slows down for it; where bars behind the spindle whip.
"""
