"""How a part is held and carried: lands, grips, jaws, end faces, centres, steadies.

Knows what then stands in the tools' way, what is too short, thin or far out, and how it is drawn.
"""
