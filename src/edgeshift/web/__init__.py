"""The page of the room: one local process, three views (Stage, Wing, Pocket) and the same acts as JSON."""
