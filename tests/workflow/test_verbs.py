"""What the fronts may call stands twice: for whoever reads the types, and for whoever runs it."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

from genplan import workflow


def test_the_two_lists_of_verbs_are_one() -> None:
    tree = ast.parse(Path(workflow.__file__).read_text("utf-8"))
    listed = {
        (node.module, name.asname)
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("genplan.workflow.")
        for name in node.names
    }
    assert listed == {(f"genplan.workflow.{module}", name) for name, module in workflow._HOME.items()}
    assert all(hasattr(workflow, name) for name in workflow._HOME)


def test_no_verb_is_called_like_a_module_which_would_stand_in_its_place() -> None:
    modules = {path.stem for path in Path(workflow.__file__).parent.glob("*.py")}
    assert modules.isdisjoint(workflow._HOME)


def test_a_verb_loads_its_own_module_and_not_those_of_others() -> None:
    code = "import sys; from genplan import workflow; workflow.check; print('genplan.workflow.tabling' in sys.modules)"
    asked = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert asked.stdout == "False\n"
