"""Flights with known truth, written down as strangers write them, to measure how records are read."""
