"""The deck log: entries as they are taken, timed, worked, amended and withdrawn."""
