"""The desk: a page for the tablet beside the table; it watches the queue and passes wishes."""
