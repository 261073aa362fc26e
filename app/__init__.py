"""The window: shows and edits what the engine computes; computes no physics itself."""
