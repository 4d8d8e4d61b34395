"""In which countries a place is, and which countries are so near that theirs count too."""

from __future__ import annotations

from functools import cache, lru_cache

from pydantic import Field

from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.outlines import Outlines, read_outlines
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict


class Nearness(Sourced):
    """[near] of countries.toml."""

    border: float = Field(gt=0)
    coast: float = Field(gt=0)


class CountriesFile(Strict):
    """countries.toml."""

    near: Nearness


@cache
def load_nearness() -> Nearness:
    """Return how near a country has to be to count, from the shipped config."""
    return toml_file.read(shipped_file("countries.toml"), CountriesFile).near


@cache
def _outlines() -> Outlines:
    return read_outlines(shipped_file("countries.npz"))


@lru_cache(maxsize=256)  # a check asks for the same few places many times
def countries_near(latitude: float, longitude: float) -> tuple[str, ...]:
    """Return the countries of a place, the nearest first, as ISO 3166-1 codes of two letters.

    Parameters
    ----------
    latitude, longitude
        The place. [deg]

    Returns
    -------
    tuple of str
        On land, the country and its neighbours up to the distance `border`; on the sea, every
        country up to the distance `coast`. Empty on the open ocean.

    Notes
    -----
    An area that several states claim belongs to each of them here.

    Examples
    --------
    >>> countries_near(47.52, 9.68)  # the eastern end of Lake Constance
    ('AT', 'DE', 'CH')
    """
    near = load_nearness()
    apart = _outlines().distances(latitude, longitude, near.coast)
    reach = near.border if 0.0 in apart.values() else near.coast
    ordered = sorted((distance, codes) for codes, distance in apart.items() if distance <= reach)
    return tuple(dict.fromkeys(code for _, codes in ordered for code in codes.split()))


@cache
def bounds_of(countries: tuple[str, ...]) -> tuple[float, float, float, float]:
    """Return west, south, east and north of some countries and their coastal waters. [deg].

    East is above 180 where they lie on both sides of the antimeridian.

    Examples
    --------
    >>> west, south, east, north = bounds_of(("IE",))
    >>> west < -10.6, south < 51.4, east > -6.0, north > 55.4
    (True, True, True, True)
    """
    outlines = _outlines()
    mine = [not set(codes.split()).isdisjoint(countries) for codes in map(str, outlines.names)]
    west, south, east, north = outlines.boxes[mine].T
    if (east - west).max(initial=0.0) < 180.0 < east.max() - west.min():
        west, east = west % 360.0, east % 360.0
    margin = 2.0  # deg; more than territorial waters anywhere below 75 degrees of latitude
    return (
        float(west.min() - margin),
        float(south.min() - margin),
        float(east.max() + margin),
        float(north.max() + margin),
    )


def any_country_within(latitude: float, longitude: float, reach: float) -> bool:
    """Return whether a place is in a country, or within a distance [m] of one; its lakes count."""
    return bool(_outlines().distances(latitude, longitude, reach))
