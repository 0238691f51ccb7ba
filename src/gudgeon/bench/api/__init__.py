"""What scripts call: entries of the log, news of a job, pairing."""
