"""A country as a grid: where ten apples crop in Japan, now and 2 C warmer, beside where its orchards are.

``python -m examples.orchard_map cells CELLS.parquet`` writes the cells, half degrees of land whose middle lies in a
prefecture; ``python -m domain.grid CELLS.parquet ANSWERS --warmer-by-c 0 2 --cultivars ...`` answers them (``cells``
prints the command); ``python -m examples.orchard_map draw ANSWERS FOLDER`` draws ``map.svg``, writes ``cells.geojson``
and prints how the map and the harvest agree. No height is told: that of the ground about a cell's middle is taken, low
in hills, where orchards lie.

What came out (ten cultivars, 158 cells): prefectures that grow apples score above those that do not in 53 pairs of 100
(82 in the climate 2 C warmer, of which neighbours hardly tell), the rank correlation with the harvest is 0.16 (0.57);
land where a cultivar is to be planted is 40 % of all and bears 47 % of the harvest. Orchards in the hills of the south
are heard, and lift Golden Delicious and Orin in it. The map knows Okinawa and the coldest basins of Hokkaido, and
that Tsugaru and Jonagold leave the south-west first; it refuses little of that, where citrus is grown and
hardly an apple. Where apples would crop is not where they pay (common practice, no source), and what hot wet summers
cost them weighs little in the verdicts.

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
