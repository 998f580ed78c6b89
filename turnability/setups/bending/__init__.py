"""How work and tools give way under the cut: beams, rings, boring bars.

Knows what carries the work against it, and what would be stiff enough.
"""
