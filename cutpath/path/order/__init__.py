"""The quickest way through all strokes of a load, under the rules of what comes before what."""
