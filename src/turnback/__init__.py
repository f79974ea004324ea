"""Turnback computes whether an aircraft, pack, link, site and pilot will come home.

The package root stays empty on purpose: importing it costs nothing and no import circle can pass through it.
"""

__version__ = "0.1.0"
