"""Made-up cultivars for the tests of pollination and planting lists."""

from typing import Literal

from domain.tables.cultivars import Basis, Cultivar, Estimate, Finding


def cultivar(
    name: str,
    bloom: float | None = 0.0,
    *,
    alleles: str | None = None,
    ploidy: str | None = "2",
    ploidy_basis: Basis = "published",
    bloom_spread: float = 1.5,
    basis: Basis = "published",
    agreement: float = 1.0,
    self_fertility: str | None = None,
    texts: int = 1,
    parentage: str | None = None,
    named_partners: str | None = None,
    pollen: str | None = None,
    sport_of: str | None = None,
    kind: Literal["apple", "crab_apple"] = "apple",
    uses: str | None = "dessert",
    vigour: float | None = None,
    growth_form: str | None = None,
    fruiting_habit: str | None = None,
    recommended_by: int = 0,
) -> Cultivar:
    """A cultivar that is advised with just the traits given."""
    findings = {}
    if ploidy is not None:
        findings["ploidy"] = Finding(value=ploidy, agreement=1.0, basis=ploidy_basis)
    for trait, value in (
        ("self_fertility", self_fertility),
        ("pollen", pollen),
        ("uses", uses),
        ("growth_form", growth_form),
        ("fruiting_habit", fruiting_habit),
        ("parentage", parentage),
        ("named_partners", named_partners),
    ):
        if value is not None:
            findings[trait] = Finding(value=value, agreement=1.0, basis="published", observations=texts)
    if alleles is not None:
        findings["s_genotype"] = Finding(value=alleles, agreement=agreement, basis=basis)
    numbers = {}
    if bloom is not None:
        numbers["bloom_offset_days"] = Estimate(value=bloom, deviation=bloom_spread, unit="d", basis="published")
    if vigour is not None:
        numbers["vigour"] = Estimate(value=vigour, deviation=0.5, unit="1-5", basis="published")
    return Cultivar(
        id=name.lower().replace(" ", "-"),
        name=name,
        status="advised",
        kind=kind,
        sport_of=sport_of,
        numbers=numbers,
        findings=findings,
        recommended_by=recommended_by,
    )
