"""Readings: everything that comes in, each with the time it came."""

from middlewatch.readings.entries import Entry
from middlewatch.readings.sentences import SentenceReading
from middlewatch.readings.watch import WatchReading

Reading = SentenceReading | WatchReading | Entry
