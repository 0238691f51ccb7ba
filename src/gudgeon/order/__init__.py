"""The order: what to buy for a job, how many, for which places, at what price."""
