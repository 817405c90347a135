"""Tests of the pages, tables and files people and programs get."""
