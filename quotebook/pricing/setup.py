"""The setup of an operation, built up; it returns with every order."""

from __future__ import annotations

from quotebook.model import Operation, Shop, name_key


def setup_hours(operation: Operation, shop: Shop) -> float:
    """Return the hours of one setup: as built up, unless the estimator overrules it."""
    if operation.setup_hours_overruled is not None:
        return operation.setup_hours_overruled
    return built_up_setup_hours(operation, shop)


def built_up_setup_hours(operation: Operation, shop: Shop) -> float:
    """Return base, work holding, touching off each tool, proving in each tight feature by class, first-piece check.

    Base, holding, tools and first-piece check are those of an operation with its usual figures in force.
    """
    policy = shop.policy
    minutes = (
        holding_minutes(operation, shop)
        + (operation.touch_offs or 0) * policy.touch_off_minutes
        + operation.tight_features * policy.prove_in_minutes
        + operation.tight_bores * policy.bore_minutes
        + operation.dowel_holes * policy.dowel_minutes
        + operation.gauged_threads * policy.thread_minutes
        + operation.seal_grooves * policy.groove_minutes
        + (operation.first_piece_minutes or 0.0)
    )
    return (operation.setup_base_hours or 0.0) + minutes / 60


def holding_minutes(operation: Operation, shop: Shop) -> float:
    """Return the minutes of the operation's way of holding work; 0 when it names none."""
    key = name_key(operation.work_holding or "")
    return next((row.minutes for row in shop.work_holdings if name_key(row.name) == key), 0.0)
