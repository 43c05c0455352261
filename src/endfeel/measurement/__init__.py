"""measurement"""
