"""Reports: everything that is said, as INTERFACE words it."""
