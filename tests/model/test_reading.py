"""Reading shop profiles and jobs: what is accepted, what is refused, and how a refusal is told.

Source of all expectations: the specification of the two files; the sentences are our own.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from quotebook.errors import InputError
from quotebook.model import Job, job_from_data, read_job, read_shop, shop_from_data, to_data
from tests.samples import golden_job, golden_shop, metric_job, metric_shop

PLAIN_JOB = """
[job]
units = "in"
quantities = [5, 25]

[[operation]]
number = 10
work_center = "Lathe"
cycle_minutes = 12

[[operation]]
number = 20
hand_rate = "Deburr"
cycle_minutes = 5
"""


def refused(text: str, folder: Path, name: str = "job.toml") -> tuple[str, ...]:
    """Write the text to a file, read it as a job, return the problems."""
    path = folder / name
    path.write_text(text, encoding="utf-8", newline="")
    with pytest.raises(InputError) as caught:
        read_job(path)
    assert all(problem.startswith(str(path)) for problem in caught.value.problems)
    return tuple(problem.removeprefix(f"{path}, ") for problem in caught.value.problems)


def test_a_plain_job_is_read(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(PLAIN_JOB)
    job = read_job(path)
    assert job.job.quantities == (5, 25)
    assert [row.number for row in job.operations] == [10, 20]
    assert job.operations[0].cycle_minutes == 12.0
    assert isinstance(job.operations[0].cycle_minutes, float)


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(b"\xef\xbb\xbf" + PLAIN_JOB.replace("\n", "\r\n").encode())
    assert read_job(path).job.units == "in"


BAD_LINES: list[tuple[str, str, str, str]] = [
    # what, replaced, by, the sentence's beginning and what it must hold, separated by |
    (
        "misspelt field",
        "cycle_minutes = 12",
        "cycle_minuts = 12",
        'operation 1 (number 10), cycle_minuts: found "12"|Did you mean "cycle_minutes"?',
    ),
    ("misspelt table", "[[operation]]", "[[opertion]]", 'opertion: found "2 rows"|Did you mean "operation"?'),
    (
        "plural word of Python",
        "[[operation]]",
        "[[operations]]",
        'operations: found|Did you mean "operation"?',
    ),
    (
        "negative hours",
        "number = 20",
        "number = 20\nsetup_base_hours = -1.5",
        'operation 2 (number 20), setup_base_hours: found "-1.5", expected hours of 0 or more.|',
    ),
    (
        "all scrap",
        "number = 20",
        "number = 20\nscrap_share = 1.0",
        'operation 2 (number 20), scrap_share: found "1.0"|of 0 or more and below 1',
    ),
    ("zero quantity", "[5, 25]", "[0, 25]", 'job, quantities, value 1: found "0"|a whole number of 1 or more'),
    ("broken quantity", "[5, 25]", "[5, 25.5]", 'job, quantities, value 2: found "25.5"|a whole number'),
    (
        "falling quantities",
        "[5, 25]",
        "[25, 5]",
        'job, quantities, value 2: found "5"|more than the one before it (25)',
    ),
    ("quantities not a list", "[5, 25]", "5", 'job, quantities: found "5"|a list of values'),
    (
        "hours as text",
        "number = 20",
        'number = 20\nsetup_base_hours = "2h"',
        'operation 2 (number 20), setup_base_hours: found "2h" (text)|without quotation marks or a unit',
    ),
    (
        "hours as logical",
        "number = 20",
        "number = 20\nsetup_base_hours = true",
        'operation 2 (number 20), setup_base_hours: found "true", expected hours|',
    ),
    (
        "not a number",
        "cycle_minutes = 5",
        "cycle_minutes = nan",
        'operation 2 (number 20), cycle_minutes: found "nan"|',
    ),
    ("endless", "cycle_minutes = 5", "cycle_minutes = inf", 'operation 2 (number 20), cycle_minutes: found "inf"|'),
    ("logical as text", 'units = "in"', 'units = "in"\nexpedite = "yes"', 'job, expedite: found "yes"|true or false'),
    ("units", 'units = "in"', 'units = "inch"', 'job, units: found "inch" (text), expected one of "in", "mm".|'),
    ("no units", 'units = "in"', "", 'job, units: found nothing, expected one of "in", "mm".|Add it'),
    ("repeated number", "number = 20", "number = 10", 'operation 2 (number 10), number: found "10"|before it (10)'),
    (
        "quote date with a time",
        'units = "in"',
        'units = "in"\nquote_date = 2031-05-20T10:00:00',
        'job, quote_date: found "2031-05-20T10:00:00"|year-month-day',
    ),
    ("table as list", "[job]", "[[job]]", "job: found|expected a table with the fields customer"),
    ("control character", 'units = "in"', 'units = "in"\nnote = "a\\u0007b"', "job, note: found|without control"),
    (
        "low above likely",
        "cycle_minutes = 5",
        "cycle_minutes = 5\nlow_cycle_minutes = 6",
        'operation 2 (number 20), low_cycle_minutes: found "6.0"|at most cycle_minutes (5)',
    ),
    (
        "high below likely",
        "cycle_minutes = 5",
        "cycle_minutes = 5\nhigh_cycle_minutes = 4",
        'operation 2 (number 20), high_cycle_minutes: found "4.0"|at least cycle_minutes (5)',
    ),
]


@pytest.mark.parametrize(("old", "new", "told"), [row[1:] for row in BAD_LINES], ids=[row[0] for row in BAD_LINES])
def test_a_bad_line_is_refused_with_its_place_and_what_is_allowed(
    old: str, new: str, told: str, tmp_path: Path
) -> None:
    assert old in PLAIN_JOB
    problems = refused(PLAIN_JOB.replace(old, new), tmp_path)
    assert len(problems) == 1
    begins, holds = told.split("|")
    assert problems[0].startswith(begins)
    assert holds in problems[0]


BAD_TABLES: list[tuple[str, str, str]] = [
    (
        "mixed units",
        '[stock]\nform = "plate"\nprice_basis = "per kg"\nprice = 3',
        'stock, price_basis: found "per kg" (text), expected "each" or "per lb" or "per ft" for stock measured in "in"',
    ),
    (
        "mixed units, the stock's own",
        '[stock]\nform = "plate"\nunits = "mm"\nprice_basis = "per ft"',
        'stock, price_basis: found "per ft" (text), expected "each" or "per kg" or "per m" for stock measured in "mm".',
    ),
    ("thick wall", '[stock]\nform = "tube"\nsize_a = 2\nwall = 1', 'stock, wall: found "1.0"'),
    (
        "two chosen prices",
        "[[supplier_price]]\nline = 'Stock'\nprice = 1\nchosen = true\n"
        "[[supplier_price]]\nline = 'stock'\nprice = 2\nchosen = true",
        'supplier_price 2 (line stock), chosen: found "true", expected one chosen price for each line',
    ),
    (
        "price of nothing",
        "[[buyout]]\nname = 'Anodize'\nkind = 'outside processing'\n[[supplier_price]]\nline = 'Anodise'\nprice = 1",
        'supplier_price 1 (line Anodise), line: found "Anodise" (text), expected "Stock" or the name of a buyout.',
    ),
    (
        "buyout named stock",
        "[[buyout]]\nname = 'STOCK'\nkind = 'hardware'",
        'buyout 1 (name STOCK), name: found "STOCK" (text), expected any other name than "Stock".',
    ),
    (
        "two buyouts of one name",
        "[[buyout]]\nname = 'Pin'\nkind = 'hardware'\n[[buyout]]\nname = 'PIN'\nkind = 'hardware'",
        'buyout 2 (name PIN), name: found "PIN" (text), expected a name that no other buyout has',
    ),
    (
        "name that a lookup takes for a pattern",
        "[[buyout]]\nname = 'M4*12'\nkind = 'hardware'",
        'buyout 1 (name M4*12), name: found "M4*12" (text), expected a name',
    ),
    (
        "buyout at no operation",
        "[[buyout]]\nname = 'Pin'\nkind = 'hardware'\noperation = 30",
        'buyout 1 (name Pin), operation: found "30", expected the number of an operation of this job (10, 20).',
    ),
    (
        "cutting at no operation",
        "[[cutting]]\noperation = 11\nfeature = 'Slot'",
        'cutting 1 (feature Slot), operation: found "11", expected the number of an operation of this job (10, 20).',
    ),
    ("feed of nothing", "[[cutting]]\noperation = 10\nfeed_per_minute = 0", "cutting 1, feed_per_minute: found "),
    ("kind", "[[buyout]]\nname = 'Pin'\nkind = 'hardwear'", "buyout 1 (name Pin), kind: found "),
    (
        "price missing",
        "[[supplier_price]]\nline = 'Stock'\nchosen = true",
        "supplier_price 1 (line Stock), price: found an empty value",
    ),
    (
        "interest",
        "[fit]\ninterest = 4",
        'fit, interest: found "4", expected interest in the job, a whole number from 0',
    ),
]


@pytest.mark.parametrize(("table", "told"), [row[1:] for row in BAD_TABLES], ids=[row[0] for row in BAD_TABLES])
def test_a_bad_table_is_refused_with_its_place_and_what_is_allowed(table: str, told: str, tmp_path: Path) -> None:
    problems = refused(f"{PLAIN_JOB}\n{table}\n", tmp_path)
    assert len(problems) == 1
    assert problems[0].startswith(told)


def test_a_margin_of_everything_is_refused(tmp_path: Path) -> None:
    text = PLAIN_JOB.replace('units = "in"', 'units = "in"\nprofit_rule = "margin"\nprofit_share = 1.5')
    assert refused(text, tmp_path)[0].startswith('job, profit_share: found "1.5", expected a share below 1')
    markup = PLAIN_JOB.replace('units = "in"', 'units = "in"\nprofit_rule = "markup"\nprofit_share = 1.5')
    (tmp_path / "markup.toml").write_text(markup)
    assert read_job(tmp_path / "markup.toml").job.profit_share == 1.5


def test_every_problem_is_told_at_once_also_those_between_rows(tmp_path: Path) -> None:
    text = (
        PLAIN_JOB.replace("[5, 25]", "[25, 5]").replace("cycle_minutes = 5", "scrap_share = 2\nattendence_share = 1")
        + "\n[stock]\nprice_basis = 'per m'\n[[cutting]]\noperation = 99\n[inspection]\nplan = 'every peice'\n"
    )
    problems = refused(text, tmp_path)
    assert [problem.split(": found")[0] for problem in problems] == [
        "operation 2 (number 20), scrap_share",
        "operation 2 (number 20), attendence_share",
        "inspection, plan",
        "job, quantities, value 2",
        "stock, price_basis",
        "cutting 1, operation",
    ]


def test_no_problem_is_invented_when_a_rows_own_key_is_bad(tmp_path: Path) -> None:
    text = PLAIN_JOB.replace("number = 20", 'number = "twenty"') + "\n[[cutting]]\noperation = 20\n"
    assert len(refused(text, tmp_path)) == 1


def test_json_is_read_and_refused_like_toml(tmp_path: Path) -> None:
    good = tmp_path / "job.json"
    good.write_text(json.dumps(to_data(metric_job()), default=str))
    assert read_job(good) == metric_job()
    bad = {
        "job": {"units": "mm", "quantities": [5], "quote_date": "2031-02-30"},
        "operation": [{"number": 10, "scrap": 1}],
    }
    problems = refused(json.dumps(bad), tmp_path, "bad.json")
    assert [problem.split(": found")[0] for problem in problems] == [
        "job, quote_date",
        "operation 1 (number 10), scrap",
    ]
    assert 'Did you mean "scrap_share"?' in problems[1] or "There are:" in problems[1]


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("job.toml", b"[job]\nunits = in\n", "it is not TOML: Invalid value (at line 2, column 9)"),
        ("job.toml", b"[job]\nunits = ", "at line 2, the end of the file"),
        ("job.toml", b"[job]\nunits = 'in'\nunits = 'mm'\n", "line 3"),
        ("job.toml", b"[job]\nnote = '\xff'\n", "line 2: found bytes that are not UTF-8"),
        ("job.json", b'{"job": {"units": "in",}}', "it is not JSON"),
        ("job.json", b'{"job": {"units": "in", "units": "mm"}}', 'the field "units" stands twice'),
        ("job.json", b"[" * 100_000, "it is not usable JSON"),
        ("job.json", b"[]", "the file: found"),
        ("job.yaml", b"job:", 'found a file name ending in ".yaml"'),
        ("job.toml", b"[job]\nunits = 'in'\nspare_pieces = " + b"9" * 5000, "it is not usable TOML"),
    ],
)
def test_a_file_that_holds_no_job_is_refused_in_one_sentence(
    name: str, content: bytes, told: str, tmp_path: Path
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        read_job(path)
    assert len(caught.value.problems) == 1
    assert caught.value.problems[0].startswith(str(path))
    assert told in caught.value.problems[0]


def test_a_missing_file_a_folder_and_a_huge_file_are_refused_in_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "huge.toml").write_bytes(b"#" * 10_000_001)
    for name, told in [("none.toml", "no such file"), ("folder.toml", "a folder"), ("huge.toml", "10000001")]:
        for read in (read_job, read_shop):
            with pytest.raises(InputError, match=told) as caught:
                read(tmp_path / name)
            assert len(caught.value.problems) == 1


def _shop_data(**changes: Any) -> dict[str, Any]:
    return {**to_data(golden_shop()), **changes}


HAND = {"name": "Bench", "cost_rate": 30, "sell_rate": 40}


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (_shop_data(hand_rate=[HAND, {**HAND, "name": "bench"}]), "hand_rate 2 (name bench), name"),
        (_shop_data(hand_rate=[HAND] * 13), 'hand_rate: found "13", expected at most 12 of them'),
        (_shop_data(hand_rate=[]), 'hand_rate: found "0", expected at least 1 of them'),
        (_shop_data(work_center=[]), 'work_center: found "0", expected at least 1 of them'),
        (_shop_data(sampling=[{"lot_from": 9, "sample": 3}, {"lot_from": 2, "sample": 2}]), "sampling 2 (lot_from 2)"),
        (_shop_data(money={"currency_code": "usd"}), 'money, currency_code: found "usd"'),
        (_shop_data(money={"decimals": 5}), 'money, decimals: found "5"'),
        (_shop_data(money={"currency_symbol": ""}), "money, currency_symbol: found"),
        (_shop_data(shop={}), "shop, name: found nothing"),
        (_shop_data(material=[{"name": "Lead", "density": 11340}]), "material 1 (name Lead), density"),
        (_shop_data(policy={**to_data(golden_shop())["policy"], "profit_share": 1.0}), "policy, profit_share"),
        (_shop_data(policy={**to_data(golden_shop())["policy"], "price_step": 0}), "policy, price_step"),
        (
            _shop_data(policy={**to_data(golden_shop())["policy"], "largest_lot": 1, "smallest_lot": 5}),
            "policy, largest_lot",
        ),
        (
            _shop_data(work_center=[{**to_data(golden_shop())["work_center"][0], "operator": "Debur"}]),
            'work_center 1 (name Lathe), operator: found "Debur" (text), expected the name of a hand_rate. '
            'Did you mean "Deburr"?',
        ),
    ],
)
def test_a_bad_shop_profile_is_refused(data: dict[str, Any], told: str) -> None:
    with pytest.raises(InputError) as caught:
        shop_from_data(data, "shop.toml")
    assert len(caught.value.problems) == 1
    assert caught.value.problems[0].startswith(f"shop.toml, {told}")


def test_a_shop_profile_is_read_from_both_kinds_of_file(tmp_path: Path) -> None:
    (tmp_path / "shop.json").write_text(json.dumps(to_data(metric_shop())))
    assert read_shop(tmp_path / "shop.json") == metric_shop()


def test_the_models_never_change() -> None:
    job = golden_job()
    with pytest.raises(ValueError, match="frozen"):
        job.job.units = "mm"  # type: ignore[misc]
    assert isinstance(job.operations, tuple)
    assert Job.model_validate(job) is job


def test_whole_numbers_may_come_as_floats_because_sheets_have_no_others() -> None:
    job = job_from_data({"job": {"units": "in", "quantities": [5.0]}}, "sheet")
    assert job.job.quantities == (5,)
    assert isinstance(job.job.quantities[0], int)
