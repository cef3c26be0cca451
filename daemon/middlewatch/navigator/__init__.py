"""The pure core: readings in, in order, each with its own time; reports out. `step()` is its one door."""
