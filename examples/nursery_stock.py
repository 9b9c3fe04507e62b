# %% [markdown]
# # What the Lowmoor nursery has for its customers
#
# An invented nursery has a stock list as its till writes it, and customers in three districts. This script is cut into
# cells (`# %%`), which editors for notebooks run one by one; `python -m examples.nursery_stock` runs it whole.

# %%
"""A nursery's stock from its own names to what each district is offered, cell by cell."""

import csv
import json
import os
import sys
from pathlib import Path
from typing import Any

from examples.python_client import ask

HERE = Path(__file__).parent
SERVICE = sys.argv[1] if len(sys.argv) > 1 else os.environ.get("SERVICE", "http://127.0.0.1:8000")


def answered(path: str, body: dict[str, Any]) -> dict[str, Any]:
    """The answer of the service as a mapping."""
    found: dict[str, Any] = json.loads(ask(SERVICE, path, body))
    return found


# %% [markdown]
# ## The names of the till
#
# Which cultivars do they mean? What is not known is told with the nearest names; a person decides, nothing is guessed.

# %%
with (HERE / "records" / "lowmoor-nursery-stock.csv").open(encoding="utf-8", newline="") as file:
    stock = {row["name"]: int(row["trees"]) for row in csv.DictReader(file)}

meant = answered("/v1/cultivar-names", {"names": list(stock)})["names"]
known = {one["cultivar"]: stock[one["asked"]] for one in meant if one["cultivar"]}
for one in meant:
    if not one["cultivar"]:
        print(f"Not known: {one['asked']}; nearest: {', '.join(near['cultivar'] for near in one['nearest']) or 'none'}")
print(f"{len(known)} of {len(stock)} names are cultivars of the catalogue.")

# %% [markdown]
# ## What each district is offered

# %%
districts = {
    "valley villages": {"latitude": 53.2, "longitude": -1.4, "elevation_m": 90},
    "upland farms": {"latitude": 53.3, "longitude": -1.9, "elevation_m": 320},
    "coast": {"latitude": 53.1, "longitude": 0.2, "elevation_m": 10},
}
for district, site in districts.items():
    ranked = answered("/v1/suitabilities", {"site": site, "cultivars": list(known)})["suitabilities"]
    best = [one["cultivar"] for one in ranked if one["verdict"] == "plant"][:4]
    print(f"{district}: {', '.join(best) or 'nothing of the stock'}")

# %% [markdown]
# ## Which five to keep in stock
#
# Weights are customers a year.

# %%
customers = {"valley villages": 140, "upland farms": 35, "coast": 60}
order = answered(
    "/v1/stock-orders",
    {
        "sites": [{"id": name, "site": site, "weight": customers[name]} for name, site in districts.items()],
        "available": list(known),
        "kinds_at_most": 5,
        "offered_to_each": 3,
    },
)
for kept in order["stock"]:
    trees = known[kept["cultivar"]]
    print(f"{kept['cultivar']:<24}{trees:>3} trees, offered to {kept['share_of_customers']:.0%} of customers")
print("No choice of five serves better." if order["best_proven"] else "A better choice may exist.")

# %% [markdown]
# ## A list for one customer, as a table to print

# %%
garden = {
    "site": districts["upland farms"],
    "space": {"tree_count": 3},
    "available": list(known),
    "neighbourhood": "isolated",
    "lists": 1,
}
table = ask(SERVICE, "/v1/planting-lists", garden, "text/csv")
for row in csv.DictReader(table.splitlines()):
    print(f"{row['cultivar']}: {row['tree_form']} on {row['rootstock']}, pollen from {row['pollen_from']}")
