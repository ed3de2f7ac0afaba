"""Specific cutting force, power and torque, and how far a feed is cut back to a machine's limits."""

from __future__ import annotations

import math

from quotebook.machining.units import CM3_PER_VOLUME, KW_PER_POWER, NM_PER_TORQUE, Units

#: A power check is a warning with a band: makers' figures for one material differ by 45 % and more.
USUAL_EFFICIENCY = 0.8


def specific_cutting_force(kc11: float, mc: float, chip_mm: float) -> float:
    """Return N/mm2: kc1.1 h^-mc, chip thickness in mm. Source: Kienzle; constants Iscar turning 2017 p. 558."""
    return float(kc11 * chip_mm**-mc)


def cutting_power(removal: float, kc: float, units: Units, efficiency: float = 1.0) -> float:
    """Return hp or kW for a removal rate in in3/min or cm3/min and kc in N/mm2; ``efficiency`` of the drive.

    Q kc / 60 000 is kW for cm3/min. Source: Iscar rotating tools 2017 p. 601; Mitsubishi Materials.
    """
    return removal * CM3_PER_VOLUME[units] * kc / 60_000 / efficiency / KW_PER_POWER[units]


def torque(power: float, rpm: float, units: Units) -> float:
    """Return lbf.ft from hp, or N.m from kW: P / (2 pi n). Source: milling formulas, Sandvik Coromant (30 000/pi)."""
    return power * KW_PER_POWER[units] * 30_000 / (math.pi * rpm) / NM_PER_TORQUE[units]


def cut_back(
    power: float, torque_needed: float, power_limit: float | None, torque_limit: float | None, mc: float
) -> float:
    """Return the share of the feed, up to 1, at which both limits hold; any unit, the same in need and limit.

    Power grows with the feed to the power 1 - mc, because thin chips cost more force for their section.
    Source: by algebra from kc = kc1.1 h^-mc; a limit of None is not known and cuts nothing back.
    """
    room = 1.0
    if power_limit is not None and power > 0:
        room = min(room, power_limit / power)
    if torque_limit is not None and torque_needed > 0:
        room = min(room, torque_limit / torque_needed)
    return room if room >= 1.0 else float(room ** (1 / (1 - mc)))
