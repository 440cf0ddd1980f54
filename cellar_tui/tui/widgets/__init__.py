"""The parts that screens are made of; they are shown things and never ask the store."""
