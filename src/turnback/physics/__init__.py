"""Floor 1: pure functions on arrays, SI units, one module per physical domain."""
