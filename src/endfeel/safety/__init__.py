"""safety"""
