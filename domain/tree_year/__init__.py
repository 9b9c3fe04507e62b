"""The clocks of a tree in days of weather: dormancy, bloom, ripening, stages, hardening, and dates seen."""
