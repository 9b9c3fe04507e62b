"""The tree forms that a caller wishes, resolved, and where they contradict the other wishes."""

from domain.common.asked_names import resolve_each
from domain.common.faults import ContentFault, ContentFaults, pointer
from domain.planting_list.list_request import Space, Wanted
from domain.tables.tree_forms import TreeForm, tree_form_names, tree_forms
from domain.trees.tree_choices import FIGURES as CHOICES

_STANDS = {"fence": "fence", "pot": "pots", "free_standing": "ground", "row": "ground"}
"""How a form of each arrangement stands in the space."""


def wished_forms(wanted: Wanted, space: Space) -> tuple[str, ...]:
    """Ids of the forms wished. Raises ContentFaults for unknown ones, and for those that other wishes rule out."""
    ids = resolve_each(
        tree_form_names(),
        [(pointer("wanted", "forms", n), name) for n, name in enumerate(wanted.forms)],
        once=False,
        what="tree form",
    )
    faults = []
    for n, form_id in enumerate(ids):
        against = _against(tree_forms()[form_id], wanted, space)
        if against is not None:
            faults.append(ContentFault(pointer("wanted", "forms", n), against))
    if faults:
        raise ContentFaults(faults)
    return tuple(dict.fromkeys(ids))


def _against(form: TreeForm, wanted: Wanted, space: Space) -> str | None:
    """What rules a form out; None where nothing does."""
    stand = _STANDS[form.arrangement]
    if stand != space.stand:
        return f"The form {form.name} goes with stand “{stand}”, and “{space.stand}” is asked; expected them to agree."
    if wanted.no_ladder and form.ladder == "always":
        return f"The form {form.name} is always picked from a ladder, and no_ladder is asked; expected one of the two."
    if wanted.no_pruning and not form.unpruned and form.arrangement != "pot":
        return f"The form {form.name} asks pruning, and no_pruning is asked; expected one of the two."
    least = CHOICES.least_height_share * form.ranges["mature_height"].low
    if wanted.keep_height_m is not None and wanted.keep_height_m < least:
        return (
            f"The form {form.name} is not kept below {least:.1f} m, and keep_height_m is {wanted.keep_height_m:g}; "
            "expected a greater height or another form."
        )
    return None
