"""Where hosts, germs and insects live: rough boxes on the map, each with the text its outline follows."""

Box = tuple[float, float, float, float]
"""South, north, west and east bounds in degrees."""


def within(latitude: float, longitude: float, box: Box) -> bool:
    """Whether a place lies in a box."""
    south, north, west, east = box
    return south <= latitude <= north and west <= longitude <= east


RED_CEDAR: Box = (27.0, 49.0, -100.0, -60.0)
"""Eastern North America, from memory."""

FREE_OF_FIRE_BLIGHT: tuple[Box, ...] = (
    (-56.0, 12.0, -82.0, -34.0),
    (-45.0, -9.0, 112.0, 155.0),
    (-36.0, 18.0, -20.0, 52.0),
    (24.0, 46.0, 129.5, 150.0),
    (5.0, 37.0, 67.0, 100.0),
)
"""South America, Australia, Africa south of the Sahara, Japan, the Indian subcontinent: none of them is a sure record
in the distribution lists of EPPO (Reporting Service 1992/08 and 1996/146; the record of India is called dubious)."""


def junipers_native(latitude: float | None, longitude: float | None) -> bool | None:
    """Whether red cedar, host of cedar-apple rust, grows wild there; None without a place."""
    if latitude is None or longitude is None:
        return None
    return within(latitude, longitude, RED_CEDAR)


def fire_blight_established(latitude: float | None, longitude: float | None) -> bool:
    """Whether fire blight is established in the region; without a place it is reckoned with."""
    if latitude is None or longitude is None:
        return True
    return not any(within(latitude, longitude, box) for box in FREE_OF_FIRE_BLIGHT)


AUSTRALIA: Box = (-45.0, -9.0, 112.0, 155.0)
SOUTHERN_AFRICA: Box = (-36.0, -15.0, 10.0, 40.0)


def canker_presence(latitude: float | None, longitude: float | None) -> float:
    """How far European canker is there, 0 to 1; without a place it is reckoned with.

    It is in virtually all apple countries except Australia (NIAB, Apple best practice guide); that it is seldom met in
    southern Africa is from memory.
    """
    if latitude is None or longitude is None:
        return 1.0
    if within(latitude, longitude, AUSTRALIA):
        return 0.05
    return 0.3 if within(latitude, longitude, SOUTHERN_AFRICA) else 1.0


FREE_OF_CODLING_MOTH: tuple[Box, ...] = (
    (24.0, 46.0, 129.5, 150.0),
    (-36.0, -13.0, 112.0, 129.0),
    (24.0, 33.5, 75.0, 97.0),
    (-20.0, 15.0, -18.0, 52.0),
)
"""Japan (NIAB: world-wide wherever apples are grown, except possibly Japan and parts of South America); Western
Australia, the southern slopes of the Himalaya and tropical Africa from memory."""


def codling_moth_established(latitude: float | None, longitude: float | None) -> bool:
    """Whether codling moth lives in the region; without a place it is reckoned with."""
    if latitude is None or longitude is None:
        return True
    return not any(within(latitude, longitude, box) for box in FREE_OF_CODLING_MOTH)
