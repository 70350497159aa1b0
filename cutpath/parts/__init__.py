"""Parts that nobody traced: they follow from the panels, the frame and the hardware."""
