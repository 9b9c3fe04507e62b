"""From whatever the caller knows of a site to the years there: place, figures, normals or records."""
