"""From what was seen at the water to what could be behind it."""
