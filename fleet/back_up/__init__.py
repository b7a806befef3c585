"""A copy of the whole site in one file: database, photos, key; read back, put back, moved."""
