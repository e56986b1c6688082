"""Every record is frozen, slotted, and every float says its unit."""

import dataclasses
import typing

import pytest

import crena.records as records
from crena.records import Record

UNITS = {
    "mm", "mm2", "ml", "deg", "kg", "n", "kpa", "day", "ratio", "fraction", "axis",
    "10mm",
}  # fmt: skip
PURE = {
    "donor_share", "donor_share_low", "donor_share_high", "low", "high", "asked",
    "reached", "value", "chance", "chance_low", "chance_high",
}  # fmt: skip
ALL = [
    r
    for r in vars(records).values()
    if isinstance(r, type) and issubclass(r, Record) and r is not Record
]


def holds_float(kind):
    return kind is float or any(holds_float(k) for k in typing.get_args(kind))


@pytest.mark.parametrize("record", ALL)
def test_record_is_frozen_slotted_and_keyword_only(record):
    settings = record.__dataclass_params__
    assert settings.frozen and "__slots__" in vars(record)
    assert all(f.kw_only for f in dataclasses.fields(record))


@pytest.mark.parametrize("record", ALL)
def test_every_float_carries_its_unit(record):
    kinds = typing.get_type_hints(record, include_extras=True)
    naked = [
        name
        for name, kind in kinds.items()
        if holds_float(kind) and name.split("_")[-1] not in UNITS and name not in PURE
    ]
    assert naked == []
