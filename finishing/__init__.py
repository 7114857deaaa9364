"""Finish schedules, recoat windows and cure times for makers of small wooden goods."""

__version__ = "0.1.0"
