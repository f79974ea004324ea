"""Is a brief's chance worth its name? Plans flown in a simulator that shares no code with the product.

Run ``make calibration``; it writes ``docs/calibration.md``. Everything flown here is invented.
"""
