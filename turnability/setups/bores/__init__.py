"""How bores are made: by which drill, bar, reamer or blade, after which other, how deep.

Knows one chucking at a time, and what is asked of its bores.
"""
