"""A recorded trial for other programs: CSV, Parquet, C3D."""
