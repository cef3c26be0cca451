"""The position by sight: lines, where they cross, fixes, set and drift, and the plot they stand on."""
