"""The queue: jobs for several machines, kept so that no crash loses or doubles anything."""
