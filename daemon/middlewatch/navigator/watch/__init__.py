"""The watch: alerts, the satellite check, and the look round at each tick."""
