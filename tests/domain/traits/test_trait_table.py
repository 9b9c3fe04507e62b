"""The traits of cultivars as arrays, and what each rests on."""

import numpy as np

from domain.fruit.diseases import DISEASES
from domain.tables.cultivars import Cultivar, Estimate
from domain.traits.trait_table import TRAIT_BASES, trait_table


def _cultivar(name: str, numbers: dict[str, Estimate]) -> Cultivar:
    return Cultivar(id=name, name=name, status="advised", kind="apple", numbers=numbers)


def test_a_table_says_how_sure_each_value_is_and_what_it_rests_on() -> None:
    known = {
        "chill_portions": Estimate(value=61.0, deviation=7.5, unit="CP", basis="from-memory"),
        "susceptibility_scab": Estimate(value=0.3, deviation=0.25, unit="0..1", basis="published"),
    }
    table = trait_table([_cultivar("told", known), _cultivar("untold", {})])
    scab = DISEASES.index("scab")
    assert [TRAIT_BASES[code] for code in table.basis["chill_portions"]] == ["from-memory", "absent"]
    assert [TRAIT_BASES[code] for code in table.susceptibility_basis[:, scab]] == ["published", "absent"]
    assert table.susceptibility_spread[0, scab] == 0.25
    assert np.isnan(table.susceptibility_spread[1]).all()
    untold = table.take(np.array([1]))
    assert untold.susceptibility_basis.shape == untold.susceptibility_spread.shape == (1, len(DISEASES))
    assert set(untold.basis) == set(table.basis) >= set(table.value)
