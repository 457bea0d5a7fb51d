"""Every module imports alone, warnings and all; and the help text drags nothing heavy in."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import tagtrack

PACKAGE = Path(tagtrack.__file__).parent
MODULES = sorted(
    ".".join(("tagtrack", *path.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(".__init__")
    for path in PACKAGE.rglob("*.py")
    if path.name != "__main__.py"
)
_ONE_BY_ONE = """
import sys
for name in sys.argv[1:]:
    for mine in [m for m in sys.modules if m.split('.')[0] == 'tagtrack']:
        del sys.modules[mine]
    __import__(name)
"""
_HELP = """
import sys
sys.argv = ['tagtrack', '--help']
from tagtrack.cli.main import run
try:
    run()
finally:
    heavy = {'reportlab', 'qrcode', 'PIL', 'tinydb', 'pypdfium2', 'zxingcpp', 'flask', 'scipy'} & set(sys.modules)
    print('HEAVY', sorted(heavy))
"""


def python(*arguments):
    return subprocess.run(
        [sys.executable, "-W", "error", "-c", *arguments], capture_output=True, text=True, check=False
    )


def test_every_module_imports_alone():
    ran = python(_ONE_BY_ONE, *MODULES)
    assert ran.returncode == 0, ran.stderr


def test_the_help_text_needs_no_heavy_library():
    ran = python(_HELP)
    assert "HEAVY []" in ran.stdout, ran.stdout + ran.stderr
