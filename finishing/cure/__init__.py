"""Pure core: climate, rate laws, stages, film, species and the progress of a batch. No I/O, no clock.

For programs of your own, the names below may be imported from here. Temperatures are °C, humidities % RH, amounts mL,
areas m², instants hours since 1970 UTC (`finishing.clock` turns times into them).

The air and the wood in it (the Wood Handbook, FPL-GTR-282, table 4-2, has 9.2 % at 21.1 °C and 50 %):

>>> from finishing.cure import dew_point_c, wood_moisture_pct
>>> from finishing.cure.air import air
>>> round(dew_point_c(20.0, 50.0), 1)
9.3
>>> round(wood_moisture_pct(21.1, 50.0), 1)
9.2
>>> air(14.0, 95.0, surface_c=13.0).warnings[0]
'the surface is -0.2 °C above the dew point of 13.2 °C, less than 3 °C above it: moisture may form'

A finish, how much of it a coat takes, and how many pieces go in one pass before the first must be wiped:

>>> from finishing.cure import amount_ml, pass_size
>>> from finishing.library import Library
>>> library = Library()
>>> varnish = library.finish("wiping-varnish")
>>> round(amount_ml(varnish.film, area_m2=1.0, first=True))
50
>>> pass_size(40, 1.5, 1.0, varnish.wipe).pieces
7

How a coat laid at an hour hardens on a wood in some air, and when the next may follow, at three levels of certainty:

>>> from finishing.cure import Batch, steady
>>> from finishing.cure.forecast import forecast
>>> schedule = library.schedule("wiped-varnish-four")
>>> finishes = {name: library.finish(name) for name in schedule.finishes}
>>> batch = Batch("mine", schedule, finishes, library.woods_of(["hard maple"]), library.classes, "loft")
>>> warm = forecast(batch, [], {"loft": steady(21.0, 50.0, 0.0)}, {}, 0.0, level=0.5)
>>> cold = forecast(batch, [], {"loft": steady(12.0, 50.0, 0.0)}, {}, 0.0, level=0.5)
>>> hours = [round(ahead.coats[1].at - ahead.coats[0].at, 1) for ahead in (warm, cold)]
>>> hours[0] < hours[1]
True

`Library(own=folder)` reads your own finishes, schedules and woods too. `finishing.shop.shop.Shop` opens a record: what
it and its neighbours offer is what the screens and commands use, and may change from version to version.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from finishing.cure.air import Air, dew_point_c, saturation_kpa, vapour_pressure_deficit_kpa, wood_moisture_pct
    from finishing.cure.climate import PlaceAir, build, steady
    from finishing.cure.film import amount_ml, dry_um, wet_um
    from finishing.cure.finish import Finish
    from finishing.cure.outlook import DayAhead, UsualDay
    from finishing.cure.passes import pass_size
    from finishing.cure.schedule import Schedule
    from finishing.cure.species import Species
    from finishing.cure.work import AbradeEntry, Batch, CoatEntry, Size, StepEntry, TestEntry

__all__ = [
    "AbradeEntry", "Air", "Batch", "CoatEntry", "DayAhead", "Finish", "PlaceAir", "Schedule", "Size", "Species",
    "StepEntry", "TestEntry", "UsualDay", "amount_ml", "build", "dew_point_c", "dry_um", "pass_size", "saturation_kpa",
    "steady", "vapour_pressure_deficit_kpa", "wet_um", "wood_moisture_pct",
]  # fmt: skip

_MODULES = ("air", "climate", "film", "finish", "outlook", "passes", "schedule", "species", "work")


def __getattr__(name: str) -> object:
    """A public name, its module imported when it is first asked for: a command pays only for what it uses."""
    if name in __all__:
        for module in _MODULES:
            found = getattr(import_module(f"{__name__}.{module}"), name, None)
            if getattr(found, "__module__", "") == f"{__name__}.{module}":
                return found
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
