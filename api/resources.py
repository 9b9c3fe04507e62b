"""The one list of the service's resources, in the order of its index."""

from api.cultivar_names import CULTIVAR_NAMES
from api.cultivars import CULTIVARS
from api.multi_cultivar_trees import MULTI_CULTIVAR_TREES
from api.operations import Operation, Resource
from api.parameters import PARAMETERS
from api.planting_list_reviews import PLANTING_LIST_REVIEWS
from api.planting_lists import PLANTING_LISTS
from api.plot_layouts import PLOT_LAYOUTS
from api.pollination_pairs import POLLINATION_PAIRS
from api.rootstocks import ROOTSTOCKS
from api.season_calendars import SEASON_CALENDARS
from api.service import CONTRACT, DOCS, HEALTH, PROBLEMS, READINESS, SERVICE
from api.site_climates import SITE_CLIMATES
from api.sources import SOURCES
from api.stock_orders import STOCK_ORDERS
from api.suitabilities import SUITABILITIES
from api.tree_forms import TREE_FORMS
from api.words import WORDS

RESOURCES: tuple[Resource, ...] = (
    SERVICE,
    PLANTING_LISTS,
    PLANTING_LIST_REVIEWS,
    SUITABILITIES,
    SEASON_CALENDARS,
    POLLINATION_PAIRS,
    PLOT_LAYOUTS,
    MULTI_CULTIVAR_TREES,
    SITE_CLIMATES,
    STOCK_ORDERS,
    CULTIVAR_NAMES,
    CULTIVARS,
    ROOTSTOCKS,
    TREE_FORMS,
    SOURCES,
    PARAMETERS,
    WORDS,
    CONTRACT,
    DOCS,
    PROBLEMS,
    HEALTH,
    READINESS,
)

OPERATIONS: dict[str, Operation] = {
    one.id: one for resource in RESOURCES for one in resource.operations if one.handler.include_in_schema
}
"""What the contract tells, by operation id."""
