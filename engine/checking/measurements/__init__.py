"""Checks of measurements: limits, units, and whether they can tell anything."""
