"""Files of tiny parts are read in micrometres.

The kernel takes what is nearer than 0.1 µm for one point, whatever its unit stands for, and fits
edges to faces within ten times as much: of a part of half a millimetre it loses drill points,
and lays edges a tenth of a millimetre off their faces. Read a thousand times as large it does not.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape, TopoDS_Solid

_TINY_MM = 4.0
_UM = 1e-3


def is_tiny(solid: TopoDS_Shape) -> bool:
    """Whether a solid read in mm is so small that it is better read again in µm."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    bounds = Bnd_Box()
    BRepBndLib.Add_s(solid, bounds, False)
    return not bounds.IsVoid() and math.sqrt(bounds.SquareExtent()) < _TINY_MM


def in_millimetres(solid: TopoDS_Solid) -> TopoDS_Solid:
    """A solid read in µm at its size in mm; its faces keep their order."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Pnt, gp_Trsf
    from OCP.TopoDS import TopoDS

    smaller = gp_Trsf()
    smaller.SetScale(gp_Pnt(0.0, 0.0, 0.0), _UM)
    return TopoDS.Solid_s(BRepBuilderAPI_Transform(solid, smaller, True).Shape())
