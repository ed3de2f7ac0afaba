"""What the sheets say to a person who fills them in: which sizes a kind takes, what is missing, which rates hold."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, get_args

import pytest

from quotebook.flows.demo import examples_folder
from quotebook.model import (
    Cutting,
    Extra,
    Fit,
    Inspection,
    Job,
    JobHeader,
    Nonrecurring,
    Operation,
    Shop,
    Stock,
    Usual,
    read_shop,
)
from quotebook.model.cutting import FeatureKind
from quotebook.values import Address, Value
from tests.cross.unfiled import cell, layout, shown

KINDS = get_args(FeatureKind)
MILL = "3-axis mill, small"
PLAN = layout(())


@pytest.fixture(scope="module")
def shop() -> Shop:
    return read_shop(examples_folder() / "shop.toml")


def job(**parts: Any) -> Job:
    """A block of 6061 with one operation and, unless said else, a line of every kind without any size."""
    usual: dict[str, Any] = {
        "job": JobHeader(units="in", quantities=(10,)),
        "stock": Stock(form="block", material="Aluminum 6061", size_a=2.2, size_b=1.1, piece_length=3.2,
                       price_basis="each", price=20),
        "operations": (Operation(number=10, work_center=MILL),),
        "cutting": tuple(Cutting(operation=10, kind=kind) for kind in KINDS),
    }  # fmt: skip
    return Job(**{**usual, **parts})


class Seen:
    """The results of all cells of a job, by the names of fields."""

    def __init__(self, shop: Shop, one: Job) -> None:
        self.values: Mapping[Address, Value] = shown(PLAN, shop, one)

    def __call__(self, name: str, row: int | None = None) -> Value:
        return self.values.get(cell(PLAN, name, row, None))

    def check(self, name: str) -> Value:
        """Return what a line of Start counts."""
        return self.values.get(Address("Start", int(PLAN.names[name].rsplit("$", 1)[1]), 2))


def without_usual(shop: Shop) -> Shop:
    """Return a shop that takes nothing where a cell is blank."""
    centers = tuple(
        row.model_copy(update={"usual_setup_hours": None, "usual_load_minutes": None, "usual_holding": None})
        for row in shop.work_centers
    )
    return shop.model_copy(update={"work_centers": centers, "usual": Usual()})


def letters(text: str) -> set[str]:
    return set(re.findall(r"\b([A-EP])\b", text))


def test_a_row_tells_which_sizes_its_kind_takes_and_then_which_are_missing(shop: Shop) -> None:
    seen = Seen(without_usual(shop), job())
    for row, kind in enumerate(KINDS):
        takes, state = str(seen("cutting_sizes", row)), str(seen("cutting_problem", row))
        assert state.startswith("◄ missing: A diameter"), kind
        assert letters(state) <= letters(takes), f"{kind} asks for a size that the row does not name"
    assert seen.check("check_cutting") == seen.check("first_cutting") == len(KINDS)


def test_every_size_that_a_row_names_moves_its_minutes_or_its_power(shop: Shop) -> None:
    """Only the sizes that are named are asked; with all of them the line is complete."""
    sizes = {"A": "diameter", "B": "end_diameter", "C": "length", "D": "width", "E": "depth", "P": "pitch"}
    value = {"diameter": 0.5, "end_diameter": 0.4, "length": 1.0, "width": 0.3, "depth": 0.2, "pitch": 0.05}
    shop = without_usual(shop)
    takes = [letters(str(Seen(shop, job())("cutting_sizes", row))) for row in range(len(KINDS))]
    lines = [
        Cutting(operation=10, kind=kind, **{sizes[letter]: value[sizes[letter]] for letter in names})
        for kind, names in zip(KINDS, takes, strict=True)
    ]
    seen = Seen(shop, job(cutting=tuple(lines)))
    for row, kind in enumerate(KINDS):
        assert seen("cutting_problem", row) in ("", None), f"{kind}: {seen('cutting_problem', row)}"
        assert float(str(seen("cutting_minutes", row))) > 0, kind


def test_lines_wait_for_the_material_and_start_counts_it_once(shop: Shop) -> None:
    seen = Seen(shop, job(stock=Stock(form="block")))
    states = {seen("cutting_problem", row) for row in range(len(KINDS))}
    assert states == {"waits: choose the material on Stock first"}
    assert (seen.check("check_cutting"), seen.check("check_group")) == (0, 1)
    assert (seen("stock_choice_open"), seen("part_sizes_open"), seen.check("first_job")) == (1, 3, 4)
    assert float(str(seen.check("missing_price"))) >= 1
    acetal = Seen(shop, job(stock=Stock(form="block", material="Acetal")))
    assert acetal("cutting_problem", 0) == "waits: choose the material group on Stock first"


def test_a_kind_that_is_not_on_the_list_takes_no_time_and_is_told(shop: Shop) -> None:
    """As pasted over the drop-down; a job file with it is refused."""
    whole = {"diameter": 0.5, "end_diameter": 0.4, "length": 1.0, "width": 0.3, "depth": 0.2, "pitch": 0.05}
    line = Cutting(operation=10, kind="face milling", speed=500, feed=0.002, tool_changes=0, rapid_length=0, **whole)
    seen = Seen(shop, job(cutting=(line.model_copy(update={"kind": "broaching"}),)))
    assert seen("cutting_sizes", 0) == "not on the list of kinds"
    assert seen("cutting_problem", 0) == "◄ the kind is not on the list; choose one"
    assert seen("cutting_minutes", 0) == 0


def test_whole_cuts_are_told(shop: Shop) -> None:
    """2 in wide with a cutter of 1 in at the table's share of the diameter, 0.3 in deep at 6 mm: two levels."""
    line = Cutting(operation=10, kind="pocket milling", diameter=1, length=3, width=2, depth=0.3)
    seen = Seen(shop, job(cutting=(line,)))
    deep, wide = str(seen("cutting_cuts", 0)).split(" x ")
    share = next(row.width_share for row in shop.speeds if row.cut == "mill" and row.group == "Aluminum, wrought")
    assert share is not None
    assert (int(deep), int(wide)) == (2, -int(-2 // share))


def test_rates_say_which_of_the_two_are_in_force(shop: Shop) -> None:
    seen = Seen(shop, job())
    for name, used, state in (
        ("hand_rates", "hand_rate", "hand_rate_problem"),
        ("work_centers", "work_center", "work_center_problem"),
    ):
        rows = getattr(shop, name)
        assert {row.built_up for row in rows} == {True, False}
        for index, row in enumerate(rows):
            cost, sell = seen(f"{used}_cost_used", index), seen(f"{used}_sell_used", index)
            assert isinstance(cost, float)
            assert isinstance(sell, float)
            told = (
                f"built up: {round(cost, 2):g} / {round(sell, 2):g} in force"
                if row.built_up
                else "typed rates in force"
            )
            assert seen(state, index) == told
    assert seen.check("check_rates") == 0


def test_the_fit_check_names_machine_unit_and_tolerance(shop: Shop) -> None:
    tight = Fit(length=3, width=2, height=1, tightest_tolerance=0.0003)
    said = str(Seen(shop, job(fit=tight))("fit_tolerance"))
    assert said.startswith("does not fit: plus or minus 0.0003 in is asked; the best in the routing, ")
    assert said.endswith(f"{MILL}, holds 0.0008 in; if a sized tool makes it, say so above")
    reamed = Seen(shop, job(fit=tight.model_copy(update={"tolerance_by": "a sized tool"})))
    assert reamed("fit_tolerance") == "made by the sized tool; not asked of the machine"
    assert reamed("fit_against") == 0


def test_an_extra_without_an_amount_is_worth_a_look(shop: Shop) -> None:
    rows = (
        Extra(item="certificates", wanted=True),
        Extra(item="drawing revision", wanted=True, remark="B, looked at"),
        Extra(item="handling", wanted=True, per_lot=12),
        Extra(item="currency", wanted=False),
    )
    seen = Seen(shop, job(extras=rows))
    assert [seen("extra_state", row) for row in range(4)] == [
        "◄ yes, but without an amount", "yes, at no cost", "yes", "no"
    ]  # fmt: skip
    assert seen.check("look_extras") == 1


def test_a_cost_in_two_places_is_told_where(shop: Shop) -> None:
    twice = job(
        extras=(Extra(item="certificates", wanted=True, per_lot=35),),
        inspection=Inspection(rate="Inspection", certificate_hours=0.5, gauge_cost=20),
        nonrecurring=(Nonrecurring(description="Thread gauge", purchase=60),),
    )
    seen = Seen(shop, twice)
    assert seen("double_certificates") == "◄ look: on Inspection, Extras"
    assert seen("double_gauges") == "◄ look: on Inspection, Nonrecurring"
    assert seen("double_masking") == ""
    assert seen("double_count") == seen.check("look_twice") == 2


def test_stock_as_large_as_the_part_is_told(shop: Shop) -> None:
    fit = Fit(length=3.2, width=2.2, height=1.0)
    seen = Seen(shop, job(fit=fit))
    assert seen("stock_look") == "◄ look: no machining allowance where it is cut off"
    assert seen.check("look_stock_size") == 1
    small = fit.model_copy(update={"length": 3.0, "width": 2.0})
    assert Seen(shop, job(fit=small))("stock_look") == ""


def test_the_next_standard_size_says_when_there_is_none(shop: Shop) -> None:
    assert Seen(shop, job())("stock_next_size") == ""
    stock = Stock(form="round bar", finished_size=900, units="in")
    assert Seen(shop, job(stock=stock))("stock_next_size") == "none as large on Rates"


def test_start_asks_for_setups_and_for_tool_changes(shop: Shop) -> None:
    """By hand: one work center with two cutting lines; then with its setup and with one tool changed.

    In a shop without usual figures; with them, neither is missing.
    """
    usual, shop = shop, without_usual(shop)
    lines = (
        Cutting(operation=10, kind="drilling", diameter=0.25, length=0.5),
        Cutting(operation=10, kind="drilling", diameter=0.201, length=0.5),
    )
    bare = Seen(shop, job(cutting=lines))
    assert (bare.check("first_setup"), bare.check("look_tool_changes")) == (1.0, 1.0)
    taken = Seen(usual, job(cutting=lines))
    assert (taken.check("first_setup"), taken.check("look_tool_changes")) == (0.0, 0.0)
    changed = (lines[0], lines[1].model_copy(update={"tool_changes": 1}))
    ready = Operation(number=10, work_center=MILL, setup_base_hours=0.5, work_holding=shop.work_holdings[0].name)
    full = Seen(shop, job(cutting=changed, operations=(ready,)))
    assert (full.check("first_setup"), full.check("look_tool_changes")) == (0.0, 0.0)
    typed = Seen(shop, job(cutting=lines, operations=(ready.model_copy(update={"cycle_minutes": 4.0}),)))
    assert typed.check("look_tool_changes") == 0.0, "a typed cycle holds its tool changes"
    assert Seen(shop, job(cutting=lines[:1])).check("look_tool_changes") == 0.0, "one line may need no change"


def test_start_asks_how_the_work_is_held(shop: Shop) -> None:
    """By hand: a mill and a bench; only the mill holds work, and a setup that is typed whole has it inside.

    The mill has a setup of its own; where its usual holding is taken, nothing is asked.
    """
    usual, shop = shop, without_usual(shop)
    mill, bench = (
        Operation(number=10, work_center=MILL, setup_base_hours=0.5),
        Operation(number=20, hand_rate="Bench", cycle_minutes=1.0),
    )
    held = shop.work_holdings[0].name
    for first, asked in (
        (mill, 1.0),
        (mill.model_copy(update={"work_holding": held}), 0.0),
        (mill.model_copy(update={"setup_hours_overruled": 1.5, "setup_reason": "as last year"}), 0.0),
        (mill.model_copy(update={"hand_rate": "Bench"}), 0.0),
    ):
        assert Seen(shop, job(operations=(first, bench))).check("first_setup") == asked
    assert Seen(usual, job(operations=(mill, bench))).check("first_setup") == 0


def test_sizes_that_are_taken_are_told_beside_the_line(shop: Shop) -> None:
    """By hand, in inch: the block 3.2 x 2.2 x 1.1 around a part of 3 x 2 x 1; usual cutters 63, 12 and 6 mm."""
    seen = Seen(shop, job(fit=Fit(length=3, width=2, height=1)))
    told = {kind: seen("cutting_taken", row) for row, kind in enumerate(KINDS)}
    assert told["face milling"] == "A 2.48, C 3, D 2, E 0.05"
    assert told["contour milling"] == "A 0.472, C 10, D 0.1, E 1"
    assert told["chamfer or deburr"] == "A 0.236, C 10"
    assert told["drilling"] == "C 1"
    assert {told[kind] for kind in ("turning", "facing", "boring", "tapping", "slot milling", "counterbore")} == {""}
