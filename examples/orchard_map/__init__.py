"""A country as a grid: where ten apples crop in Japan, now and 2 C warmer, beside where its orchards are.

``python -m examples.orchard_map cells CELLS.parquet`` writes the cells, half degrees of land whose middle lies in a
prefecture; ``python -m domain.grid CELLS.parquet ANSWERS --warmer-by-c 0 2 --cultivars ...`` answers them (``cells``
prints the command); ``python -m examples.orchard_map draw ANSWERS FOLDER`` draws ``map.svg``, writes ``cells.geojson``
and prints how the map and the harvest agree. No height is told: that of the ground about a cell's middle is taken, low
in hills, where orchards lie.

Sources. Outlines (``prefectures.geojson``): Natural Earth 10m, Admin 1 - States, Provinces (naturalearthdata.com; in
the public domain), simplified to a twentieth of a degree, islands below 0.03 square degrees left out. Harvest
(``harvest.csv``): Ministry of Agriculture, Forestry and Fisheries of Japan, Crop Statistics, harvest of apples of 2020
by prefecture, tonnes; as reprinted with this source at preran47.com/?p=308 and 47todofuken-ranking.com/ringo (both
read, and equal); three prefectures are withheld there, two have none.
"""

CULTIVARS = (
    "Fuji",
    "Tsugaru",
    "Jonagold",
    "Orin",
    "Golden Delicious",
    "Gala",
    "McIntosh",
    "Bramley's Seedling",
    "Granny Smith",
    "Anna",
)
"""The ten of the map: the most grown of Japan, one of cold places, one for the kitchen, a late and a low-chill one."""
WARMER_C = 2.0
