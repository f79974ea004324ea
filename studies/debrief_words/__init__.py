"""What words alone tell in a debrief, held against cases of our own."""
