"""Advice: which sighting would make the area smallest, what to wait for, and the handbook's special pairs."""
