"""Understanding the temperature and humidity log of any data logger from its CSV or text export."""

from finishing.exchange.readings.assemble import LogReading, Stretch
from finishing.exchange.readings.columns import Columns
from finishing.exchange.readings.read import read_log
from finishing.exchange.readings.understanding import LogGap, Skipped, Taken, Understanding

__all__ = ["Columns", "LogGap", "LogReading", "Skipped", "Stretch", "Taken", "Understanding", "read_log"]
