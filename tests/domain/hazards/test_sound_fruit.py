"""Sound fruit asked for alone is what all of the health of a cultivar holds of it."""

import numpy as np

from domain.fruit.diseases import DISEASES
from domain.hazards.insects import FruitInsect
from domain.hazards.sound_fruit import health, sound_share


def test_sound_fruit_alone_is_that_of_the_whole_to_the_bit() -> None:
    rng = np.random.default_rng(6)
    rated = rng.uniform(0.0, 1.0, (30, len(DISEASES))).astype(np.float32)
    rated[rng.random(rated.shape) < 0.3] = np.nan
    pressure = dict(zip(DISEASES, rng.uniform(0.0, 1.0, len(DISEASES)).tolist(), strict=True))
    insects = (
        FruitInsect("codling_moth", 0.4, "computed", by_brood=True),
        FruitInsect("other", 0.1, "published range"),
    )
    escaped = rng.uniform(0.0, 1.0, 30).astype(np.float32)
    whole = health(rated, np.full_like(rated, 0.1), pressure, insects, escaped, unknown=0.5)
    alone = sound_share(rated, pressure, insects, escaped, unknown=0.5)
    np.testing.assert_array_equal(alone, whole.sound)
    assert 0.0 < float(alone.min()) < float(alone.max()) < 1.0
