"""care"""
