"""Days and hours: generator, normals, sun, chill, heat, frost dates, wetness. Days in, days out; no tree."""
