"""Jobs and catalogues with every revision they ever had: one SQLite file, or PostgreSQL for teams."""
