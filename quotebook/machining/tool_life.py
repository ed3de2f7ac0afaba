"""Tool life by Taylor's equation, and what it says about cost: V T^n = C.

Speeds in any unit, C in the same; life and times in minutes; money per edge and per minute.
"""

from __future__ import annotations

import math


def taylor_exponent(speed_1: float, life_1: float, speed_2: float, life_2: float) -> float:
    """Return n from two tests. Source: P. C. Sharma, Production Engineering, Example 14.7."""
    return math.log(speed_2 / speed_1) / math.log(life_1 / life_2)


def taylor_constant(speed: float, life: float, n: float) -> float:
    """Return C. Source: as above."""
    return float(speed * life**n)


def life_at(speed: float, constant: float, n: float) -> float:
    """Return minutes of life at a speed: (C / V)^(1/n). A lower n makes life more sensitive to speed."""
    return float((constant / speed) ** (1 / n))


def speed_for(life: float, constant: float, n: float) -> float:
    """Return the speed for a life."""
    return float(constant / life**n)


def extended_life_ratio(n: float, speed: float = 1.0, feed: float = 1.0, depth: float = 1.0,
                        feed_exponent: float = 0.0, depth_exponent: float = 0.0) -> float:  # fmt: skip
    """Return life over base life when speed, feed and depth are multiplied: V T^n f^a d^b = C. Source: Sharma."""
    return float((speed * feed**feed_exponent * depth**depth_exponent) ** (-1 / n))


def least_cost_life(n: float, change_minutes: float, edge_cost: float, minute_cost: float) -> float:
    """Return (1/n - 1)(t_c + C_t / C_o). Source: Ghosh and Mallik, Manufacturing Science, problem 4.26."""
    return (1 / n - 1) * (change_minutes + edge_cost / minute_cost)


def most_output_life(n: float, change_minutes: float) -> float:
    """Return (1/n - 1) t_c. Source: Ghosh and Mallik, Manufacturing Science, problem 4.28."""
    return (1 / n - 1) * change_minutes


def tool_cost(cut_minutes: float, life: float, edge_cost: float, change_minutes: float, minute_cost: float) -> float:
    """Return money a piece: (C_o t_c + C_t) t_cut / T. Source: as ``least_cost_life``."""
    return (minute_cost * change_minutes + edge_cost) * cut_minutes / life


def change_share(cut_minutes: float, change_minutes: float, life: float) -> float:
    """Return minutes of tool change that one piece carries. Source: P. C. Sharma, Production Engineering, ch. 4."""
    return cut_minutes * change_minutes / life
