"""herdscore: condition scoring for suckler herds."""
