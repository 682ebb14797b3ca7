"""Invented engines on an invented brake, healthy and with faults: what the health signs are measured with.

Everything here was written before the detectors and shares no code with them: own physics, own constants. Only
``measure.py`` calls what it judges, through its door.
"""
