"""The years at a site: from a place, figures, normals or records to one ensemble of seasons."""
