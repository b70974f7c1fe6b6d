"""The JSON schema of a document's file, in which the docstrings of attributes are the descriptions.

Pydantic can take them over by itself, but does so for each class as it is made, and searches the source for it: every
start of the program would wait 0.05 s for what only this file needs.
"""

from __future__ import annotations

import ast
import inspect
import json
from itertools import pairwise
from textwrap import dedent
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue

from kiosk.core.document.document import Document
from kiosk.core.document.limits import Model


def schema_text() -> str:
    """Return the JSON schema of a document's file, as kept in `specs/schema.json`."""
    schema: dict[str, Any] = Document.model_json_schema(schema_generator=_Described)
    return json.dumps(schema, indent=2, sort_keys=True, ensure_ascii=False) + "\n"


class _Described(GenerateJsonSchema):
    """Describes each property by the docstring of its attribute."""

    def model_schema(self, schema: Any) -> JsonSchemaValue:
        """Return the schema of one model."""
        made = super().model_schema(schema)
        for kind in reversed(schema["cls"].__mro__):
            if issubclass(kind, Model):
                for name, words in _docstrings(kind).items():
                    made["properties"][name]["description"] = words
        return made


def _docstrings(kind: type) -> dict[str, str]:
    """Return the docstrings of the attributes that a class itself declares."""
    declared = ast.parse(dedent(inspect.getsource(kind))).body[0]
    assert isinstance(declared, ast.ClassDef)
    found = {}
    for attribute, below in pairwise(declared.body):
        match attribute, below:
            case ast.AnnAssign(target=ast.Name(id=name)), ast.Expr(value=ast.Constant(value=str(words))):
                found[name] = inspect.cleandoc(words)
    return found
