"""The runtime: clock, wiring, replay, demo. The one room where all the others meet."""
