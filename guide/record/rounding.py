"""The one rule that every shown time is rounded by: to the nearest whole second or minute, halves up."""


def nearest(seconds: float, unit_s: int = 1) -> int:
    """Give a time in whole seconds or, with a unit of 60, minutes; from its whole ms, so that equal sums stay equal."""
    ms, unit_ms = round(seconds * 1000), unit_s * 1000
    return (2 * ms + unit_ms) // (2 * unit_ms)
