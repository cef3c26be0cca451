"""The plotting sheet: reports and marks as SVG; pure. Nothing is drawn yet."""
