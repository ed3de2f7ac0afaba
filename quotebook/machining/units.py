"""Units of the machining functions: an argument ``units`` says which of two families all lengths belong to.

"in": in, ft/min, in/rev, in/min, in3/min, hp, lbf.ft, lb.  "mm": mm, m/min, mm/rev, mm/min, cm3/min, kW, N.m, kg.
Specific cutting force is N/mm2 and density g/cm3 in both. Source: the inch, the pound and the foot by definition;
the horsepower is the mechanical one, 550 ft.lbf/s.
"""

from __future__ import annotations

from typing import Literal

Units = Literal["in", "mm"]

MM_PER_INCH = 25.4
M_PER_FOOT = 0.3048
KG_PER_POUND = 0.45359237
KW_PER_HP = 0.745699871582270
NM_PER_LBF_FT = 1.3558179483314004
CM3_PER_IN3 = 16.387064
#: g/cm3 in one lb/in3: 453.59237 g / 16.387064 cm3.
G_PER_CM3_IN_LB_PER_IN3 = 27.679904710203

#: Lengths of the family in one unit of its surface speed: 12 in/ft, 1000 mm/m.
LENGTHS_PER_SPEED = {"in": 12.0, "mm": 1000.0}
#: Millimetres in one length, m/min in one surface speed, cm3 in one volume, kW in one power, N.m in one torque.
MM_PER_LENGTH = {"in": MM_PER_INCH, "mm": 1.0}
M_PER_SPEED = {"in": M_PER_FOOT, "mm": 1.0}
CM3_PER_VOLUME = {"in": CM3_PER_IN3, "mm": 1.0}
KW_PER_POWER = {"in": KW_PER_HP, "mm": 1.0}
NM_PER_TORQUE = {"in": NM_PER_LBF_FT, "mm": 1.0}
#: Cubed lengths in one volume of a removal rate: in3 are cubed inches, a cm3 is 1000 mm3.
CUBES_PER_VOLUME = {"in": 1.0, "mm": 1000.0}
