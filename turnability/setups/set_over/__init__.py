"""Work that is set over from its own axis: eccentrics in the chuck, tapers by slide or tailstock.

Knows the finished plan, which it goes on from.
"""
