"""What an hour of a machine and of a person costs, built up from what is paid in a year."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class MachineHour:
    """Parts of a machine's cost an hour, money per productive hour."""

    depreciation: float
    interest: float
    floor: float
    upkeep: float
    insurance: float
    power: float

    @property
    def total(self) -> float:
        """Cost of an hour."""
        return self.depreciation + self.interest + self.floor + self.upkeep + self.insurance + self.power


def straight_line(price: float, salvage: float, life_years: float) -> float:
    """Return depreciation a year. Source: R. Panneerselvam, Engineering Economics, ch. 9."""
    return (price - salvage) / life_years


def sum_of_years(price: float, salvage: float, life_years: int, year: int) -> float:
    """Return depreciation of one year, sum of the years' digits. Source: as ``straight_line``."""
    return (price - salvage) * (life_years - year + 1) / (life_years * (life_years + 1) / 2)


def declining_balance(price: float, share: float, year: int) -> float:
    """Return depreciation of one year, declining balance. Source: as ``straight_line``."""
    return float(price * (1 - share) ** (year - 1) * share)


def capital_recovery(interest: float, years: int) -> float:
    """Return i (1+i)^k / ((1+i)^k - 1); replaces depreciation and interest. Source: newlib.net, Example 2.12."""
    growth = (1 + interest) ** years
    return interest * growth / (growth - 1)


def machine_hour(
    *, price: float, salvage: float, life_years: float, interest: float, floor_area: float, floor_cost: float,
    upkeep: float, insurance: float, power: float, load: float, tariff: float, hours: float, utilisation: float,
) -> MachineHour:  # fmt: skip
    """Return the parts of a machine's cost an hour.

    Units:  money; years; ``interest`` share a year on the mean of price and salvage; ``floor_cost`` money per area and
            year; ``upkeep`` and ``insurance`` money a year; ``power`` kW; ``tariff`` money per kWh; ``hours`` the
            machine is manned a year, ``utilisation`` the share of them it is productive.
    Source: depreciation R. Panneerselvam; time-related parts over hours as in US Army Corps of Engineers
            EP 1110-1-8; interest on the mean value: common practice, no source.
    """
    productive = hours * utilisation
    return MachineHour(
        depreciation=straight_line(price, salvage, life_years) / productive,
        interest=interest * (price + salvage) / 2 / productive,
        floor=floor_area * floor_cost / productive,
        upkeep=upkeep / productive,
        insurance=insurance / productive,
        power=power * load * tariff,
    )


def person_hour(wage: float, burden: float, productive_share: float) -> float:
    """Return wage (1 + burden) / productive share of the paid hours. Source: common practice, no source."""
    return wage * (1 + burden) / productive_share


def price_from_margin(cost: float, margin: float) -> float:
    """Return cost / (1 - margin): margin is a share of the price. Source: by algebra."""
    return cost / (1 - margin)


def price_from_markup(cost: float, markup: float) -> float:
    """Return cost (1 + markup): markup is a share of the cost. Source: calcreal.com, markup calculator."""
    return cost * (1 + markup)


def process_break_even(fixed_1: float, per_piece_1: float, fixed_2: float, per_piece_2: float) -> float:
    """Return the quantity at which two ways of making cost the same. Source: slidegur.com, break-even."""
    return (fixed_1 - fixed_2) / (per_piece_2 - per_piece_1)
