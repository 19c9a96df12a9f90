"""How the desk looks: dark on light, as the coach's window."""

from __future__ import annotations

from typing import Final

WINDOW: Final = """
QWidget { background: #ffffff; color: #16202b; font-size: 16px }
QPushButton { background: #e6edf5; border: 1px solid #5a6672; border-radius: 6px; padding: 6px 14px }
QPushButton:hover, QPushButton:focus { border: 2px solid #0b5394 }
QPushButton:disabled { color: #5a6672; background: #f2f2f2; border-color: #c9d1d8 }
QTabBar::tab { padding: 10px 16px; border-bottom: 3px solid transparent }
QTabBar::tab:selected { border-bottom: 3px solid #0b5394; font-weight: 600 }
QLineEdit, QPlainTextEdit, QTableWidget, QComboBox { border: 1px solid #5a6672; padding: 4px }
QTableWidget::item:selected { background: #0b5394; color: #ffffff }
"""  # noqa: E501
BOLD: Final = "font-weight: 600"
TROUBLE: Final = "color: #9c1c00"
