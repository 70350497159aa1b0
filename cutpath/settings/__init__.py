"""What the user wrote, checked: the job file and machine profiles."""
