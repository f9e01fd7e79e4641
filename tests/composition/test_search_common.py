"""What bakers type first finds what they mean, in both Englishes (common practice); a typing error is
forgiven.
"""

import pytest

from labelgen.composition.dataset import open_dataset
from labelgen.composition.search.food_search import search


@pytest.mark.parametrize(
    "query, food",
    [
        ("eggs", "usda/01123"),
        ("plain flour", "usda/20081"),
        ("icing sugar", "usda/19336"),
        ("bicarbonate of soda", "usda/18372"),
        ("double cream", "usda/01053"),
        ("blanched almonds", "usda/12062"),
        ("dark chocolate 70%", "usda/19904"),
        ("lemon zest", "usda/09156"),
        ("250g butter", "usda/01145"),
        ("vanila extract", "usda/02050"),
        ("01123", "usda/01123"),
        ("apricots", "usda/09021"),
        ("erythritol", "pure/erythritol"),
    ],
)
def test_first_hit(query, food):
    assert search(open_dataset(), query)[0].id == food
