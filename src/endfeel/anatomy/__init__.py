"""Bones, joint frames and the pose of the girdle."""
