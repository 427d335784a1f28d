"""herdscore: condition scoring for suckler herds."""

__version__ = "0.1.0"
