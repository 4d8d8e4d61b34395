"""Every form in which a service lists its warnings, by the name that the config gives it."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from safety_check.sources.cap.archive import read_zip
from safety_check.sources.cap.canada import read_canada
from safety_check.sources.cap.canada_water import read_canada_water
from safety_check.sources.cap.germany import read_germany
from safety_check.sources.cap.index import read_index
from safety_check.sources.cap.message import Listing
from safety_check.sources.cap.norway import read_norway
from safety_check.sources.cap.read import read_cap, read_meteoalarm
from safety_check.sources.cap.sweden import read_sweden

Reader = Callable[[bytes, str], Listing]

READERS: Mapping[str, Reader] = {
    "cap": read_cap,
    "rss": read_index,
    "atom": read_index,
    "zip": read_zip,
    "meteoalarm": read_meteoalarm,
    "canada": read_canada,
    "canada_water": read_canada_water,
    "norway": read_norway,
    "germany": read_germany,
    "sweden": read_sweden,
}
