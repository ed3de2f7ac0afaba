"""The shop profile and the job as checked data; knows no prices and no workbooks."""

from __future__ import annotations

from quotebook.model.buying import Actuals, Buyout, Nonrecurring, SupplierPrice
from quotebook.model.checks import check_against, problems_against
from quotebook.model.consistency import STOCK_LINE
from quotebook.model.cutting import Cutting
from quotebook.model.extras import FORGOTTEN, Extra, Learning
from quotebook.model.job import Fit, Job, JobHeader, Lead, Risk
from quotebook.model.making import Inspection, Operation, Stock
from quotebook.model.names import name_key
from quotebook.model.reading import job_from_data, read_job, read_shop, shop_from_data
from quotebook.model.shop import (
    Burden,
    Currency,
    HandRate,
    Material,
    Policy,
    SamplingRow,
    Shop,
    ShopHeader,
    SpecialProcess,
    StandardSize,
    Usual,
    WorkCenter,
    WorkHolding,
)
from quotebook.model.tooling import MaterialGroup, SpeedRow
from quotebook.model.writing import job_to_toml, shop_to_toml, to_data

__all__ = [
    "FORGOTTEN",
    "STOCK_LINE",
    "Actuals",
    "Burden",
    "Buyout",
    "Currency",
    "Cutting",
    "Extra",
    "Fit",
    "HandRate",
    "Inspection",
    "Job",
    "JobHeader",
    "Lead",
    "Learning",
    "Material",
    "MaterialGroup",
    "Nonrecurring",
    "Operation",
    "Policy",
    "Risk",
    "SamplingRow",
    "Shop",
    "ShopHeader",
    "SpecialProcess",
    "SpeedRow",
    "StandardSize",
    "Stock",
    "SupplierPrice",
    "Usual",
    "WorkCenter",
    "WorkHolding",
    "check_against",
    "job_from_data",
    "job_to_toml",
    "name_key",
    "problems_against",
    "read_job",
    "read_shop",
    "shop_from_data",
    "shop_to_toml",
    "to_data",
]
