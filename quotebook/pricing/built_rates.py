"""Rates in force: built up where the shop says so, else as typed."""

from __future__ import annotations

from quotebook.machining.hourly_rates import MachineHour, machine_hour, person_hour, price_from_margin
from quotebook.model import HandRate, Shop, WorkCenter


def rates_in_force(shop: Shop) -> Shop:
    """Return the shop with each built-up rate in the place of the typed one; idempotent."""
    hands = tuple(_hand(row) for row in shop.hand_rates)
    centers = tuple(_center(row, shop) for row in shop.work_centers)
    return shop.model_copy(update={"hand_rates": hands, "work_centers": centers})


def built_hour(center: WorkCenter, shop: Shop) -> MachineHour | None:
    """Return the parts of a work center's hour; None while price, life or hours a year are not known."""
    if center.purchase_price is None or center.life_years is None or center.hours_per_year is None:
        return None
    return machine_hour(
        price=center.purchase_price, salvage=center.salvage_value, life_years=center.life_years,
        interest=shop.burden.interest, floor_area=center.floor_area, floor_cost=shop.burden.floor_cost,
        upkeep=center.upkeep_per_year, insurance=center.insurance_per_year, power=center.connected_kw,
        load=center.load_share, tariff=shop.burden.power_tariff, hours=center.hours_per_year,
        utilisation=center.utilisation,
    )  # fmt: skip


def _hand(row: HandRate) -> HandRate:
    if not row.built_up or row.wage is None:
        return row
    cost = person_hour(row.wage, row.wage_burden, row.productive_share)
    return row.model_copy(update={"cost_rate": cost, "sell_rate": price_from_margin(cost, row.target_margin)})


def _center(row: WorkCenter, shop: Shop) -> WorkCenter:
    hour = built_hour(row, shop)
    if not row.built_up or hour is None:
        return row
    sell = price_from_margin(hour.total, row.target_margin)
    return row.model_copy(update={"cost_rate": hour.total, "sell_rate": sell})
