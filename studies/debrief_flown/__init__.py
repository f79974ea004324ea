"""Flights whose true cause is known: how well a debrief names it. All of it is made up."""
