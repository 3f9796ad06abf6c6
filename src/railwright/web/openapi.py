"""The API's description (OpenAPI 3.1): the same schemas that requests are checked against."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from railwright.web.circuits import STARTS
from railwright.web.limits import LONGEST_SHEET

MODELS: Final = ("ideal", "textbook", "physical")
PRODUCTS: Final = ("lesson", "handout", "film", "stills", "working", "figure", "waveforms", "table")
FIGURES: Final = (
    "board", "schematic", "path", "waveforms", "stages", "spectrum", "start-up", "ladder", "validity", "diode-curve",
    "scope-screen",
)  # fmt: skip
#: A sheet key with dots and positions: filter.1.capacitor.
KEY: Final = r"^[A-Za-z][A-Za-z0-9_]*(\.[A-Za-z0-9_]+){0,5}$"
READING: Final = r"^[A-Za-z][A-Za-z0-9_]{0,39}(\.[A-Za-z0-9_]{1,40}){1,3}$"

_TEXT: Final = {"type": "string", "maxLength": 400}
_TYPED: Final = {"type": "string", "maxLength": 80}
_VALUE: Final = {"type": ["string", "boolean", "number"], "maxLength": 4000}
_SHEET: Final = {"type": "string", "maxLength": LONGEST_SHEET, "description": "A sheet: TOML text."}
_DECIMAL: Final = {"type": "string", "enum": [".", ","]}
_COURSE: Final[dict[str, Any]] = {
    "type": "object",
    "required": ["profile"],
    "additionalProperties": False,
    "properties": {
        "profile": {"type": "string", "enum": ["uk", "us"]},
        "title": {"type": "string", "maxLength": 200},
        "drawing": {"type": "string", "enum": ["iec", "ieee"]},
        "decimal": _DECIMAL,
        "digits": {"type": "integer", "minimum": 1, "maximum": 6},
        "current_direction": {"type": "string", "enum": ["conventional", "electron"]},
        "ripple_factor": {"type": "string", "enum": ["rms", "peak-to-peak"]},
        "regulation_base": {"type": "string", "enum": ["full-load", "no-load"]},
        "rounding": {"type": "string", "enum": ["final", "each"]},
        "paper": {"type": "string", "enum": ["A4", "Letter"]},
        "diode_drop": {"type": "string", "maxLength": 20, "description": "Such as 0.7 V; by hand only."},
        "symbols": {
            "type": "object",
            "maxProperties": 20,
            "propertyNames": {"type": "string", "pattern": "^[a-z][a-z_]{1,40}$"},
            "additionalProperties": {"type": "string", "maxLength": 20},
        },
    },
}
_QUESTION: Final[dict[str, Any]] = {
    "sheet": _SHEET,
    "model": {"type": "string", "enum": list(MODELS)},
    "course": _COURSE,
    "changes": {
        "type": "object",
        "maxProperties": 12,
        "propertyNames": {"type": "string", "pattern": KEY, "maxLength": 80},
        "additionalProperties": _VALUE,
        "description": "Sheet keys set anew, before anything else: load.resistance to 330 ohm.",
    },
    "faults": {"type": "array", "maxItems": 4, "items": {"type": "string", "maxLength": 80}},
    "point": {"type": "string", "maxLength": 60},
    "mains": {
        "type": "number",
        "minimum": 0.1,
        "maximum": 2,
        "description": "Voltage at the outlet as a multiple of the sheet's; the winding's EMF goes along.",
    },
}

#: What each question must look like, by its path's last word.
REQUESTS: Final[Mapping[str, dict[str, Any]]] = {
    "answer": {
        "type": "object",
        "required": ["sheet", "model", "course"],
        "additionalProperties": False,
        "properties": {
            **_QUESTION,
            "detail": {
                "type": "string",
                "enum": ["rest", "moving", "light"],
                "description": "While a slider moves less is drawn anew, and nothing is proved; light leaves out the "
                "working as well.",
            },
            "degrees": {"type": "number", "minimum": 0, "maximum": 36000},
            "have": {
                "type": "object",
                "additionalProperties": False,
                "properties": {
                    "circuit": {"type": "string", "maxLength": 40},
                    "ways": {"type": "array", "maxItems": 200, "items": {"type": "string", "maxLength": 80}},
                },
            },
        },
    },
    "readings": {
        "type": "object",
        "required": ["sheet", "model", "course"],
        "additionalProperties": False,
        "properties": {
            **_QUESTION,
            "readings": {
                "type": "array",
                "maxItems": 60,
                "items": {"type": "string", "pattern": READING, "maxLength": 120},
            },
        },
    },
    "sheet": {
        "type": "object",
        "required": ["sheet"],
        "additionalProperties": False,
        "properties": {"sheet": _SHEET, "decimal": _DECIMAL},
    },
    "change": {
        "type": "object",
        "required": ["sheet"],
        "additionalProperties": False,
        "properties": {
            "sheet": _SHEET,
            "decimal": _DECIMAL,
            "set": {
                "type": "object",
                "maxProperties": 40,
                "propertyNames": {"type": "string", "pattern": KEY, "maxLength": 80},
                "additionalProperties": _VALUE,
            },
            "remove": {"type": "array", "maxItems": 10, "items": {"type": "string", "pattern": KEY, "maxLength": 80}},
            "add": {
                "type": "array",
                "maxItems": 4,
                "items": {
                    "type": "object",
                    "required": ["table"],
                    "additionalProperties": False,
                    "properties": {
                        "table": {"type": "string", "maxLength": 40},
                        "values": {
                            "type": "object",
                            "maxProperties": 20,
                            "propertyNames": {"type": "string", "pattern": "^[a-z_]{1,40}$"},
                            "additionalProperties": _VALUE,
                        },
                    },
                },
            },
            "boxes": {
                "type": "object",
                "additionalProperties": False,
                "properties": {
                    "winding": _TYPED,
                    "capacitor": _TYPED,
                    "load": _TYPED,
                    "load_kind": {"type": "string", "enum": ["resistance", "current", "power"]},
                },
            },
        },
    },
    "begin": {
        "type": "object",
        "required": ["circuit"],
        "additionalProperties": False,
        "properties": {
            "circuit": {"type": "string", "enum": list(STARTS)},
            "winding": _TYPED,
            "capacitor": _TYPED,
            "load": _TYPED,
            "loadKind": {"type": "string", "enum": ["resistance", "current"]},
            "region": {"type": "string", "enum": ["uk", "us"]},
            "title": {"type": "string", "maxLength": 200},
            "decimal": _DECIMAL,
        },
    },
    "course": {
        "type": "object",
        "required": ["course"],
        "additionalProperties": False,
        "properties": {"course": _COURSE},
    },
    "jobs": {
        "type": "object",
        "required": ["product", "sheet", "model", "course"],
        "additionalProperties": False,
        "properties": {
            "product": {"type": "string", "enum": list(PRODUCTS)},
            "sheet": _SHEET,
            "model": {"type": "string", "enum": list(MODELS)},
            "course": _COURSE,
            "name": {"type": "string", "maxLength": 200, "description": "What the files are called."},
            "options": {
                "type": "object",
                "additionalProperties": False,
                "properties": {
                    "edition": {"type": "string", "enum": ["student", "teacher"]},
                    "kind": {"type": "string", "enum": list(FIGURES)},
                    "form": {"type": "string", "enum": ["svg", "png", "pdf"]},
                    "copier": {"type": "boolean"},
                    "writing": {"type": "string", "enum": ["html", "md", "tex"]},
                    "over": {"type": "string", "pattern": KEY, "maxLength": 80},
                    "from": _TYPED,
                    "to": _TYPED,
                    "points": {"type": "integer", "minimum": 2, "maximum": 41},
                    "readings": {
                        "type": "array",
                        "maxItems": 12,
                        "items": {"type": "string", "pattern": READING, "maxLength": 120},
                    },
                },
            },
        },
    },
}

_ERROR: Final[dict[str, Any]] = {
    "type": "object",
    "required": ["error"],
    "properties": {
        "error": {"type": "string", "description": "A sentence for people."},
        "kind": {"type": "string"},
        "faults": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {
                    "key": {"type": "string"},
                    "line": {"type": "integer"},
                    "given": {"type": "string"},
                    "problem": {"type": "string"},
                    "allowed": {"type": "string"},
                    "remedy": {"type": "string"},
                    "text": {"type": "string"},
                },
            },
        },
    },
}
_JOB: Final[dict[str, Any]] = {
    "type": "object",
    "required": ["id", "product", "state", "done", "words", "files"],
    "properties": {
        "id": {"type": "string"},
        "product": {"type": "string", "enum": list(PRODUCTS)},
        "state": {"type": "string", "enum": ["waiting", "working", "done", "failed", "ended"]},
        "done": {"type": "number", "minimum": 0, "maximum": 1},
        "words": {"type": "string"},
        "files": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["name", "bytes", "kind"],
                "properties": {"name": {"type": "string"}, "bytes": {"type": "integer"}, "kind": {"type": "string"}},
            },
        },
    },
}
_SUMMARIES: Final[Mapping[str, str]] = {
    "answer": "Everything that follows a slider: readings, waveforms, the current's ways, four lines of working.",
    "readings": "All readings by hand and computed, conduction intervals, proof: as railwright solve --json.",
    "sheet": "A sheet as a form, with its boxes, sliders, faults and points.",
    "change": "A sheet's text with keys set, taken out or put in; its comments stay.",
    "begin": "The sheet of one of the eight circuits.",
    "course": "A course: a profile with some of its words changed.",
    "jobs": "Begin to make lesson, hand-out, film, stills, working, figure, waveforms or table.",
}
_REFUSALS: Final = {
    "400": "The request isn't what this description asks for.",
    "401": "The token is missing or wrong.",
    "403": "The request comes from elsewhere.",
    "408": "The request took too long to arrive.",
    "413": "The request is too large.",
    "415": "The request isn't application/json.",
    "422": "Sheet, course or circuit can't be used; the faults say where and what to do.",
    "429": "Too much is waiting; Retry-After says when to come back.",
}


def _refusals(*codes: str) -> dict[str, Any]:
    return {
        code: {
            "description": _REFUSALS[code],
            "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Error"}}},
        }
        for code in codes
    }


def _answered(description: str, schema: Mapping[str, Any]) -> dict[str, Any]:
    return {"description": description, "content": {"application/json": {"schema": schema}}}


def description(version: str) -> dict[str, Any]:
    """The whole description."""
    paths: dict[str, Any] = {}
    always = ("400", "401", "403", "408", "413", "415", "422", "429")
    job = {"$ref": "#/components/schemas/Job"}
    number = {
        "name": "job", "in": "path", "required": True,
        "schema": {"type": "string", "pattern": "^[a-z0-9]{1,32}$"},
    }  # fmt: skip
    missing = {
        "404": {
            "description": "There is no such thing.",
            "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Error"}}},
        }
    }
    for name, schema in REQUESTS.items():
        good = {"202": _answered("Begun.", job)} if name == "jobs" else {"200": _answered("Done.", {"type": "object"})}
        paths[f"/api/{name}"] = {
            "post": {
                "operationId": name,
                "summary": _SUMMARIES[name],
                "requestBody": {"required": True, "content": {"application/json": {"schema": schema}}},
                "responses": {**good, **_refusals(*always)},
            }
        }
    paths["/api/jobs"]["get"] = {
        "operationId": "listJobs",
        "summary": "What is being made, and what was.",
        "responses": {
            "200": _answered(
                "The list.",
                {"type": "object", "required": ["jobs"], "properties": {"jobs": {"type": "array", "items": job}}},
            ),
            **_refusals("401", "403"),
        },
    }
    paths["/api/jobs/{job}"] = {
        "parameters": [number],
        "get": {
            "operationId": "job",
            "summary": "How far one is.",
            "responses": {"200": _answered("Its state.", job), **missing, **_refusals("401", "403")},
        },
        "delete": {
            "operationId": "endJob",
            "summary": "End one, or forget its files.",
            "responses": {"200": _answered("Its last state.", job), **missing, **_refusals("401", "403", "408", "413")},
        },
    }
    paths["/api/jobs/{job}/files/{file}"] = {
        "parameters": [
            number,
            {"name": "file", "in": "path", "required": True, "schema": {"type": "string", "maxLength": 200}},
        ],
        "get": {
            "operationId": "file",
            "summary": "A file that was made.",
            "parameters": [{"name": "show", "in": "query", "schema": {"type": "string", "enum": ["1"]}}],
            "responses": {
                "200": {"description": "The file.", "content": {"*/*": {"schema": {}}}},
                **missing,
                **_refusals("401", "403"),
            },
        },
    }
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "railwright",
            "version": version,
            "description": "The local app's own interface. It listens on this machine alone; the token is printed at "
            "each start.",
            "license": {"name": "MIT", "identifier": "MIT"},
        },
        "paths": paths,
        "components": {
            "schemas": {"Error": _ERROR, "Job": _JOB},
            "securitySchemes": {
                "cookie": {"type": "apiKey", "in": "cookie", "name": "railwright_PORT"},
                "bearer": {"type": "http", "scheme": "bearer"},
            },
        },
        "security": [{"cookie": []}, {"bearer": []}],
    }
