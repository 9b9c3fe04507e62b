"""Which cultivars the names on labels and price lists mean."""

from api.advisor import Advisor, Versions
from api.computations import computation
from domain.traits.cultivar_names import CultivarNames, CultivarNamesRequest, cultivar_names


class CultivarNamesAnswer(CultivarNames, frozen=True, kw_only=True):
    """Every name, in the order asked."""

    versions: Versions


def resolve_cultivar_names(asked: CultivarNamesRequest, advisor: Advisor) -> CultivarNamesAnswer:
    """Tell for each name which cultivar it means and by what kind of name, or which names are most like it."""
    return advisor.answer(CultivarNamesAnswer, cultivar_names(asked, advisor.tables))


CULTIVAR_NAMES = computation(
    "/v1/cultivar-names",
    resolve_cultivar_names,
    operation_id="resolveCultivarNames",
    title="Which cultivars the names of a stock mean",
    summary="Which cultivars the names of a stock mean",
    tag="cultivars",
    examples=("orchard-club-cultivar-names",),
    light=True,
)
