"""The reckoning: compass and sources, the water track, DR and EP, and the orders laid over it."""
