"""The pure core: exact mass, dates, the facts a book holds, and the refusals as values."""
