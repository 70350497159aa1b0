"""What people look at: pictures of the cut."""
