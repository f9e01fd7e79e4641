"""Draws laid-out boxes into a PDF. The only module that imports ReportLab; it decides nothing."""

from __future__ import annotations
