"""Aircraft put together in every way, flown step by step, to hold the product's algebra against."""
