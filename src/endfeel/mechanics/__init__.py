"""Capsule and ligaments as fibres: strain, tension, joint play and passive range."""
