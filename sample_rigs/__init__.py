"""Demonstration rigs: invented businesses on synthetic trucks."""
