"""`finishing air`: what one reading of the air means."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.text import number, say, say_json
from finishing.cure.air import air as air_of
from finishing.units import show_temperature, spoken


@click.command()
@click.option("--temperature", required=True, callback=options.temperature, help="air temperature: 18, 18C, 64F")
@click.option("--humidity", required=True, callback=options.humidity, help="relative humidity, per cent")
@click.option("--surface", callback=options.temperature, help="temperature of the wood, where it differs")
@click.option("--json", "as_json", is_flag=True, help="print JSON")
def air(temperature: float, humidity: float, surface: float | None, as_json: bool) -> None:
    """Dew point, vapour pressure deficit and wood moisture of some air, with warnings."""
    found = air_of(temperature, humidity, surface_c=surface)
    dew = found.dew_point_c if found.dew_point_c > -273.15 else None
    if as_json:
        say_json(
            {
                "temperature_c": found.temperature_c,
                "humidity_pct": found.humidity_pct,
                "surface_c": surface,
                "dew_point_c": dew,
                "vapour_pressure_deficit_kpa": found.vapour_pressure_deficit_kpa,
                "wood_moisture_pct": found.wood_moisture_pct,
                "warnings": list(found.warnings),
            }
        )
        return
    units = options.typed_units()
    say(f"air                      {show_temperature(temperature, units, 1)}, {number(humidity)} % RH")
    say(f"dew point                {'none: the air is dry' if dew is None else show_temperature(dew, units, 1)}")
    say(f"vapour pressure deficit  {number(found.vapour_pressure_deficit_kpa, 2)} kPa")
    say(f"wood goes to about       {number(found.wood_moisture_pct)} % moisture")
    for warning in found.warnings:
        say(f"! {spoken(warning, units)}")
