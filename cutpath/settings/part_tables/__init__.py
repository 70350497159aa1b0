"""The tables of ``job.toml`` that ask for parts nobody traced."""
