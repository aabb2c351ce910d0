"""A file to begin with: a commented template, or a copy of something that is described already."""
