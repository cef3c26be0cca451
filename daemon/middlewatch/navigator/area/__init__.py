"""The area: where the boat is 95 times in 100, as a weighted cloud of passages."""
