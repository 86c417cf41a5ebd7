"""Sun, weather and temperature anywhere on land, offline."""
