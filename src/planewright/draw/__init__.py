"""Scenes in millimetres, and everything that is drawn: sheets, parts, tiles, sticks, fences, charts, the field."""
