"""Quantities with their units: angles, positions, instants, lengths, spreads. Frozen, without I/O."""
