"""A request with its names resolved and its contradictions found."""

from dataclasses import dataclass, field

from domain.naming_requests import Names, resolve_each, resolve_names
from domain.planting_list.request import ListWeights, Neighbourhood, PlantingListsRequest, Use
from domain.planting_list.space import Room, room
from domain.problems import ContentFault, ContentFaults, collecting, pointer
from domain.season_calendar import day_of_year


@dataclass(frozen=True)
class Wishes:
    """What is asked, in ids of cultivars."""

    room: Room
    weights: ListWeights = field(default_factory=ListWeights)
    uses: tuple[Use, ...] = ()
    first_ripe: str | None = None
    last_ripe: str | None = None
    keep_height_m: float | None = None
    no_spray: bool = False
    must_include: tuple[str, ...] = ()
    available: frozenset[str] | None = None
    excluded: frozenset[str] = frozenset()
    established: tuple[str, ...] = ()
    nearby_pollen: tuple[tuple[str, float], ...] = ()
    neighbourhood: Neighbourhood = "unknown"
    lists: int = 3

    @property
    def places(self) -> int:
        """Trees to plant."""
        return self.room.tree_count

    @property
    def named(self) -> frozenset[str]:
        """Every cultivar named in the request."""
        nearby = {cultivar_id for cultivar_id, _ in self.nearby_pollen}
        return frozenset(nearby | {*self.must_include, *self.established, *(self.available or ())})


def wishes(request: PlantingListsRequest, names: Names) -> Wishes:
    """Resolve a request. Raises ContentFaults with every fault of names, space and dates."""
    wanted = request.wanted
    faults: list[ContentFault] = []
    space = Room(1)
    must: tuple[str, ...] = ()
    excluded: tuple[str, ...] = ()
    established: tuple[str, ...] = ()
    nearby: tuple[str, ...] = ()
    available: tuple[str, ...] | None = None
    with collecting(faults):
        space = room(request.space, wanted.keep_height_m)
    with collecting(faults):
        must = resolve_names(names, wanted.must_include, "wanted", "must_include")
    with collecting(faults):
        excluded = resolve_names(names, request.excluded, "excluded", once=False)
    if request.available is not None:
        with collecting(faults):
            available = resolve_names(names, request.available, "available", once=False)
    with collecting(faults):
        stands = [(pointer("established", n, "cultivar"), tree.cultivar) for n, tree in enumerate(request.established)]
        established = resolve_each(names, stands, once=False)
    with collecting(faults):
        near = [
            (pointer("nearby_pollen", n, "cultivar"), tree.cultivar) for n, tree in enumerate(request.nearby_pollen)
        ]
        nearby = resolve_each(names, near, once=False)
    for date in ("first_ripe", "last_ripe"):
        with collecting(faults):
            _check_date(getattr(wanted, date), pointer("wanted", date))
    for place, cultivar_id in enumerate(must):
        if cultivar_id in excluded:
            detail = "This cultivar is also excluded; expected it in one of the two."
            faults.append(ContentFault(pointer("wanted", "must_include", place), detail))
    if faults:
        raise ContentFaults(faults)
    distances = [tree.distance_m for tree in request.nearby_pollen]
    return Wishes(
        room=space,
        weights=request.weights or ListWeights(),
        uses=tuple(dict.fromkeys(wanted.uses)),
        first_ripe=wanted.first_ripe,
        last_ripe=wanted.last_ripe,
        keep_height_m=wanted.keep_height_m,
        no_spray=wanted.no_spray,
        must_include=must,
        available=None if available is None else frozenset(available),
        excluded=frozenset(excluded),
        established=established,
        nearby_pollen=tuple(zip(nearby, distances, strict=True)),
        neighbourhood=request.neighbourhood,
        lists=request.lists,
    )


def _check_date(date: str | None, place: str) -> None:
    if date is None:
        return
    try:
        day_of_year(date)
    except ValueError as error:
        raise ContentFaults([ContentFault(place, f"No year has a {date}; expected a date MM-DD.")]) from error
