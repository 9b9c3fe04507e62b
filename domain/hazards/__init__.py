"""What takes bloom, fruit, wood or roots: frost, winter, weather too poor for bees, diseases, insects."""
