"""Small pictures of numbers: shapes first, then SVG by ourselves or PNG through Pillow. Knows nothing of the trade."""
