"""The plotting sheet: reports, marks and dangers as SVG, and what to pencil on the chart; pure."""
