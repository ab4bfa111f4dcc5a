"""``python -m workbench`` is the command ``halfshade``."""

from workbench.main import main

main()
