"""Random shops and jobs over the whole range of options, all of them valid.

``shops()`` gives shop profiles, ``jobs(shop)`` jobs that agree with that shop but may lack anything a
half-filled job lacks, ``complete_jobs(shop)`` jobs that lack nothing, so that every price is known.
``shops_with(jobs)`` draws both at once.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TypeVar, get_args

from hypothesis import strategies as st

from quotebook.model import (
    STOCK_LINE,
    Buyout,
    Inspection,
    Job,
    JobHeader,
    Lead,
    Nonrecurring,
    Operation,
    Risk,
    Shop,
    Stock,
    SupplierPrice,
)
from quotebook.model.making import AcceptanceQuality, InspectionLevel, InspectionPlan
from quotebook.pricing.usual import usual_length
from tests.beside_strategies import actuals, extra, fits, learnings
from tests.cutting_strategies import cutting_lines, rapid_known
from tests.kinds import (
    Draw,
    days,
    money,
    names,
    numbers,
    optional,
    small_counts,
    texts,
    unique_names,
    units,
    usually,
)
from tests.shop_strategies import shops

__all__ = ["complete_jobs", "jobs", "names", "numbers", "optional", "shops", "shops_with", "texts"]

T = TypeVar("T")


@st.composite
def headers(draw: Draw, shop: Shop, complete: bool) -> JobHeader:
    """Job headers with any override; rule and share of profit fit each other."""
    rule = draw(optional(st.sampled_from(["margin", "markup"])))
    share_there = rule is not None or draw(st.booleans())
    holding = rule or shop.policy.profit_rule
    many = st.lists(
        st.one_of(st.integers(1, 20), st.integers(1, 3000)), min_size=int(complete), max_size=6, unique=True
    )
    quoted = draw(optional(days))
    return JobHeader(
        customer=draw(texts),
        contact=draw(texts),
        part_number=draw(texts),
        part_name=draw(texts),
        revision=draw(texts),
        quote_number=draw(texts),
        prepared_by=draw(texts),
        units=draw(units),
        quote_date=quoted,
        due_date=quoted + timedelta(draw(st.integers(-3, 90))) if quoted and draw(st.booleans()) else None,
        lead_days=draw(optional(st.integers(0, 60))),
        quantities=tuple(sorted(draw(many))),
        spare_pieces=draw(usually(0, st.integers(0, 5))),
        expedite=draw(st.booleans()),
        discount_share=draw(usually(0.0, numbers(0, 0.9))),
        packing_per_lot=draw(usually(0.0, money)),
        packing_per_piece=draw(usually(0.0, numbers(0, 5))),
        freight_per_lot=draw(usually(0.0, money)),
        freight_per_piece=draw(usually(0.0, numbers(0, 5))),
        freight_terms=draw(st.sampled_from(["in the price", "customer's account"])),
        pricing_basis=draw(optional(st.sampled_from(["sell rates", "cost plus"]))),
        profit_rule=rule,
        profit_share=draw(numbers(0, 0.9) if holding == "margin" else numbers(0, 5)) if share_there else None,
        nonrecurring_charging=draw(optional(st.sampled_from(["own line", "spread"]))),
        nonrecurring_carries_profit=draw(optional(st.booleans())),
        expedite_share=draw(optional(numbers(0, 2))),
        order_minimum=draw(optional(money)),
        bar_charging=draw(optional(st.sampled_from(["whole bars", "used length"]))),
        pieces_charged=draw(optional(st.sampled_from(["surviving", "started"]))),
        spread_quantity=draw(optional(st.integers(1, 500))),
        offer=draw(st.sampled_from(["firm", "budgetary"])),
        quote_terms=draw(texts),
        note=draw(texts),
    )


@st.composite
def stocks(draw: Draw, shop: Shop, drawing_units: str, complete: bool, priced: bool) -> Stock:
    """Stock of every form and price basis; ``complete`` leaves out nothing that the price needs."""
    forms = [
        *("round bar", "hex bar", "square bar", "flat bar", "tube", "plate", "block"),
        *("casting", "customer supplied", "no stock"),
    ]
    form = draw(st.sampled_from(forms) if complete else optional(st.sampled_from(forms)))
    own = draw(optional(units))
    system = own or drawing_units
    scale = 1.0 if system == "in" else 25.4

    def needed(value: T) -> T | None:
        return value if complete or draw(st.integers(0, 5)) else None

    def either(value: float, usual: float | None) -> tuple[float | None, float]:
        """What is typed, or nothing, and what is then in force."""
        typed: float | None = draw(optional(st.just(value)))
        return typed, (usual_length(usual, shop, system) or 0.0) if typed is None else typed

    bases = ["each", "per lb", "per ft"] if system == "in" else ["each", "per kg", "per m"]
    basis = draw(st.sampled_from(bases[:2] if form == "casting" else bases))
    piece = draw(numbers(0.1, 12)) * scale
    facing, facing_used = either(draw(usually(0.0, numbers(0, 0.5))) * scale, shop.usual.facing)
    kerf, kerf_used = either(draw(usually(0.0, numbers(0, 0.2))) * scale, shop.usual.kerf)
    grip, grip_used = either(draw(usually(0.0, numbers(0, 6))) * scale, shop.usual.grip)
    pitch = piece + facing_used + kerf_used
    bar = grip_used + draw(numbers(1, 50)) * pitch * (1.0 if complete else draw(numbers(0.3, 1)))
    material = draw(st.one_of(st.sampled_from([m.name for m in shop.materials]) if shop.materials else texts, texts))
    in_table = material.casefold() in {m.name.casefold() for m in shop.materials}
    density = draw(numbers(0.5, 20)) if (complete and not in_table) or draw(st.booleans()) else None
    size = draw(numbers(0.1, 10)) * scale
    usual = any(row.name == material and row.usual_price is not None for row in shop.materials) and form != "casting"
    unpriced = not priced or (usual and draw(st.booleans()))
    nested, edge = draw(st.booleans()), draw(usually(0.0, numbers(0, 1))) * scale
    weight = draw(numbers(0.01, 50)) if (complete and form == "casting") or not draw(st.integers(0, 3)) else None
    return Stock(
        form=form,
        material=material,
        specification=draw(texts),
        units=own,
        density=density,
        material_group=draw(optional(st.sampled_from([g.name for g in shop.material_groups])))
        if shop.material_groups
        else None,
        size_a=needed(size),
        size_b=needed(draw(numbers(0.1, 5)) * scale),
        wall=needed(size * draw(st.sampled_from([0.05, 0.1, 0.25, 0.45]))),
        piece_length=needed(piece),
        facing=facing,
        kerf=kerf,
        bar_length=needed(bar),
        grip=grip,
        pieces_per_unit=draw(st.one_of(st.none(), st.none(), st.integers(1, 60))),
        unit_weight=weight,
        sheet_length=2 * edge + draw(numbers(1.01, 6)) * max(piece, size) if nested else None,
        sheet_width=2 * edge + draw(numbers(1.01 if complete else 0.5, 6)) * max(piece, size) if nested else None,
        sheet_edge=edge,
        finished_weight=draw(optional(numbers(0.01, 20))),
        finished_size=draw(optional(numbers(0.1, 3))),
        clean_up=draw(optional(usually(0.0, numbers(0, 0.2)))),
        low_share=draw(usually(0.0, numbers(0, 0.5))),
        high_share=draw(usually(0.0, numbers(0, 2))),
        price_basis=basis,
        price=draw(money) if not unpriced or (not usual and draw(st.booleans())) else None,
        supplier_minimum=draw(usually(0.0, money)),
        freight=draw(usually(0.0, money)),
        markup_share=draw(optional(numbers(0, 5))),
        actual_cost=draw(optional(money)),
    )


@st.composite
def operations(draw: Draw, shop: Shop, number: int, complete: bool, sent_out: bool, cut: bool) -> Operation:
    """Operations with work center or hand rate or both; ``cut``: the cycle is left to the cutting lines."""
    center = draw(optional(st.sampled_from([row.name for row in shop.work_centers])))
    hand = draw(optional(st.sampled_from([row.name for row in shop.hand_rates])))
    holdings = [row.name for row in shop.work_holdings]
    if complete and center is None and hand is None and not sent_out:
        center = shop.work_centers[0].name
    empty = center is None and hand is None and complete
    cycle = None if cut or (sent_out and draw(st.booleans())) else draw(numbers(0, 90))
    if not complete and not draw(st.integers(0, 5)):
        cycle = None
    if empty:
        cycle = None if cycle is None else 0.0
    return Operation(
        number=number,
        description=draw(texts),
        work_center=center,
        hand_rate=hand,
        setup_base_hours=0.0 if empty else draw(optional(numbers(0, 5))),
        touch_offs=0 if empty else draw(optional(small_counts)),
        tight_features=0 if empty else draw(small_counts),
        cycle_minutes=cycle,
        cycle_reason=draw(texts),
        work_holding=None if empty or not holdings else draw(optional(st.sampled_from(holdings))),
        tight_bores=0 if empty else draw(small_counts),
        dowel_holes=0 if empty else draw(usually(0, small_counts)),
        gauged_threads=0 if empty else draw(usually(0, small_counts)),
        seal_grooves=0 if empty else draw(usually(0, small_counts)),
        first_piece_minutes=None if empty else draw(optional(usually(0.0, numbers(0, 60)))),
        setup_hours_overruled=None if empty or draw(st.integers(0, 4)) else draw(numbers(0, 9)),
        setup_reason=draw(texts),
        load_minutes=0.0 if empty else draw(optional(usually(0.0, numbers(0, 10)))),
        pieces_per_load=draw(usually(1, st.integers(1, 12))),
        attendance_share=draw(usually(1.0, numbers(0, 2))),
        scrap_share=draw(usually(0.0, numbers(0, 0.4))),
        low_cycle_minutes=None if cycle is None else draw(optional(st.just(cycle * 0.75))),
        high_cycle_minutes=None if cycle is None else draw(optional(st.just(cycle * 1.5))),
        actual_setup_hours=draw(optional(numbers(0, 9))),
        actual_run_hours=draw(optional(numbers(0, 90))),
        actual_pieces=draw(optional(st.integers(0, 3000))),
    )


@st.composite
def buyouts(draw: Draw, name: str, numbers_known: list[int], operation: int | None, priced: bool) -> Buyout:
    """Outside processing (with an operation or without) and hardware."""
    outside = operation is not None or draw(st.booleans())
    if outside and operation is None and numbers_known:
        operation = draw(optional(st.sampled_from(numbers_known)))
    return Buyout(
        name=name,
        kind="outside processing" if outside else "hardware",
        operation=operation if outside else None,
        quantity_per_piece=draw(usually(1.0, numbers(0.01, 12))),
        attrition_share=draw(usually(0.0, numbers(0, 1))),
        pack_size=draw(usually(1.0, st.sampled_from([0.5, 10.0, 100.0]))),
        price=draw(numbers(0, 50)) if priced or draw(st.booleans()) else None,
        lot_charge=draw(usually(0.0, money)),
        low_share=draw(usually(0.0, numbers(0, 0.5))),
        high_share=draw(usually(0.0, numbers(0, 2))),
        lot_minimum=draw(usually(0.0, money)),
        freight=draw(usually(0.0, money)),
        markup_share=draw(optional(numbers(0, 5))),
        actual_cost=draw(optional(money)),
    )


@st.composite
def supplier_prices(draw: Draw, shop: Shop, line: str) -> list[SupplierPrice]:
    """Prices of one line, chosen ones from different quantities on, others beside them."""
    steps = draw(st.lists(st.integers(0, 400), max_size=3, unique=True))
    rows = []
    for step in steps:
        chosen = draw(st.booleans())
        own_money = ["", shop.money.currency_code]
        rows.append(
            SupplierPrice(
                line=line,
                supplier=draw(st.sampled_from(["Supplier A (invented)", "Supplier B (invented)", ""])),
                reference=draw(texts),
                from_quantity=step,
                price=draw(numbers(0, 50)),
                lot_minimum=draw(optional(money)),
                lead_days=draw(optional(st.integers(0, 90))),
                valid_until=draw(optional(days)),
                currency=draw(st.sampled_from(own_money if chosen else [*own_money, "JPY"])),
                chosen=chosen,
            )
        )
    return rows


@st.composite
def inspections(draw: Draw, shop: Shop, complete: bool) -> Inspection:
    """Inspection by every plan."""
    plan = draw(st.sampled_from(get_args(InspectionPlan)))
    hand = st.sampled_from([row.name for row in shop.hand_rates])
    return Inspection(
        rate=draw(hand if complete else optional(hand)),
        setup_hours=draw(usually(0.0, numbers(0, 3))),
        report_hours=draw(usually(0.0, numbers(0, 3))),
        minutes_per_piece=draw(usually(0.0, numbers(0, 30))),
        plan=plan,
        level=draw(st.sampled_from(get_args(InspectionLevel))),
        quality=draw(st.sampled_from(get_args(AcceptanceQuality))),
        zero_bad_share=draw(numbers(0.01, 0.6)),
        zero_confidence=draw(numbers(0.5, 0.99)),
        limiting_share=draw(numbers(0.01, 0.6)),
        certificate_hours=draw(usually(0.0, numbers(0, 3))),
        gauge_cost=draw(usually(0.0, money)),
        fixed_sample=draw(st.integers(1, 50) if complete and plan == "fixed number" else optional(st.integers(1, 50))),
    )


@st.composite
def nonrecurring_lines(draw: Draw, shop: Shop, complete: bool) -> Nonrecurring:
    """Hours at a rate, purchases, or both."""
    hand = st.sampled_from([row.name for row in shop.hand_rates])
    return Nonrecurring(
        description=draw(texts),
        hours=draw(usually(0.0, numbers(0, 40))),
        rate=draw(hand if complete else optional(hand)),
        purchase=draw(usually(0.0, money)),
        actual_hours=draw(optional(numbers(0, 40))),
        actual_purchase=draw(optional(money)),
    )


@st.composite
def _any_jobs(draw: Draw, shop: Shop, complete: bool) -> Job:
    def whole() -> bool:
        """Whether this section lacks nothing; with gaps everywhere hardly any price would be known."""
        return complete or bool(draw(st.integers(0, 3)))

    head = draw(headers(shop, whole()))
    steps = draw(st.lists(st.integers(1, 30), min_size=int(whole()), max_size=12))
    known = [sum(steps[: index + 1]) for index in range(len(steps))]
    sent_out = [number for number in known if not draw(st.integers(0, 5))]
    cut = [number for number in known if number not in sent_out and not draw(st.integers(0, 3))]
    made_whole, cut_whole, bought_whole = whole(), whole(), whole()
    made = tuple(draw(operations(shop, number, made_whole, number in sent_out, number in cut)) for number in known)
    moves = {row.number: rapid_known(shop, row.work_center) for row in made}
    per_operation = [
        draw(
            st.lists(
                cutting_lines(moves[number], head.units, number, cut_whole),
                min_size=int(number in cut and cut_whole),
                max_size=3,
            )
        )
        for number in known
        # Work on pieces that are sent out would need a rate, which an empty operation does not have.
        if number in cut or not ((complete and number in sent_out) or draw(st.integers(0, 4)))
    ]
    bought = draw(unique_names(len(sent_out), max(len(sent_out), 5)))
    where = [*sent_out, *([None] * (len(bought) - len(sent_out)))]
    lines = [draw(buyouts(name, known, place, bought_whole)) for name, place in zip(bought, where, strict=True)]
    stock = draw(stocks(shop, head.units, whole(), whole()))
    # A chosen price from some quantity on takes the place of the shop's usual one, and leaves smaller lots without.
    priced_lines = [STOCK_LINE, *bought] if stock.price is not None or not complete else bought
    prices = [draw(supplier_prices(shop, line)) for line in priced_lines if draw(st.booleans())]
    return Job(
        job=head,
        fit=draw(fits(1.0 if head.units == "in" else 25.4, shop)),
        stock=stock,
        operations=made,
        cutting=tuple(line for group in per_operation for line in group),
        buyouts=tuple(lines),
        supplier_prices=tuple(row for group in prices for row in group),
        inspection=draw(inspections(shop, whole())),
        nonrecurring=tuple(draw(st.lists(nonrecurring_lines(shop, whole()), max_size=4))),
        extras=tuple(draw(extra(name)) for name in draw(unique_names(0, 4))),
        learning=draw(learnings),
        lead=Lead(
            order_date=draw(optional(days)),
            material_days=draw(optional(st.integers(0, 40))),
            queue_days=draw(st.integers(0, 9)),
            inspection_days=draw(st.integers(0, 3)),
            shipping_days=draw(st.integers(0, 5)),
        ),
        risk=Risk(correlation=draw(numbers(0, 1))),
        actuals=draw(actuals),
    )


def jobs(shop: Shop) -> st.SearchStrategy[Job]:
    """Valid jobs that agree with the shop; anything that may be missing sometimes is."""
    return _any_jobs(shop, complete=False)


def complete_jobs(shop: Shop) -> st.SearchStrategy[Job]:
    """Valid jobs that agree with the shop and lack nothing: every price is known."""
    return _any_jobs(shop, complete=True)


@st.composite
def shops_with(draw: Draw, jobs_of: Callable[[Shop], st.SearchStrategy[Job]] = complete_jobs) -> tuple[Shop, Job]:
    """A shop, and a job that agrees with it."""
    shop = draw(shops())
    return shop, draw(jobs_of(shop))
