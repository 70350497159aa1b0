"""A sorted, healed drawing to panels with named edges and marks, and the job applied to them."""
