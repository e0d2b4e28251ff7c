"""Synthetic roasts to measure estimators with, independent of the practice roaster."""

from generator.cases import FAMILIES, Case, Coffee, case
from generator.preheat import preheated
from generator.roast import COOLING_S, PREHEAT_S, YELLOWING_C, Curve, Kind, Roast
from generator.sensor import SENSOR_CLASSES, Sensor, Stream, seen, sensor_of

__all__ = [
    "COOLING_S", "FAMILIES", "PREHEAT_S", "SENSOR_CLASSES", "YELLOWING_C", "Case", "Coffee",
    "Curve", "Kind", "Roast", "Sensor", "Stream", "case", "preheated",
    "seen", "sensor_of",
]  # fmt: skip
