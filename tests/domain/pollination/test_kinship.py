"""Kin of two cultivars, asked alone or among all others."""

import numpy as np

from domain.planting_list.planting_lists import plantable
from domain.pollination.compatibility import pollen_fits
from domain.pollination.kinship import PARENT_AND_CHILD, UNRELATED
from tests import shared


def test_a_pair_is_of_the_same_kin_in_any_company() -> None:
    """Also where a common parent, or the cultivar that one is a sport of, is not asked about."""
    by_id, cultivars = shared.catalogue().tables.by_id, plantable(shared.catalogue(), ()).cultivars
    together = pollen_fits(cultivars, by_id)
    pairs = np.argwhere(np.triu(together.kin != UNRELATED, 1))
    assert len(pairs) > 2000
    alone = [
        int(pollen_fits([cultivars[one], cultivars[other]], by_id).kin[0, 1]) for one, other in pairs[::7].tolist()
    ]
    assert alone == [int(together.kin[one, other]) for one, other in pairs[::7].tolist()]


def test_the_child_of_a_cultivar_is_a_child_of_its_sports() -> None:
    """Scifresh is of Braeburn and Royal Gala (its patent, in the tables); Blondee is a sport of Gala."""
    by_id = shared.catalogue().tables.by_id
    fits = pollen_fits([by_id["blondee"], by_id["scifresh"]], by_id)
    assert fits.kin[0, 1] == fits.kin[1, 0] == PARENT_AND_CHILD
