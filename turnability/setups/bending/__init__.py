"""How work and tools give way under the cut: beams, rings, bars, whip."""
