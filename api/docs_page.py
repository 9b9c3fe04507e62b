"""The contract as a page to read: one HTML document without a script, made from the contract when first asked for.

It asks nothing of any host: its style stands in it, allowed by its digest in the content policy.
"""

import base64
import hashlib
import json
import re
from collections.abc import Iterator, Sequence
from html import escape
from typing import Any
from urllib.parse import quote

Document = dict[str, Any]

_MOST_SHOWN = 6000
"""Characters of an example; a longer answer is cut, and the contract has it whole."""
_STYLE = """
body{font:1rem/1.5 system-ui,sans-serif;color:#1f2421;background:#fff;max-width:64rem;margin:0 auto;padding:0 1rem 4rem}
h1{font-size:1.7rem}h2{font-size:1.35rem;border-bottom:1px solid #8b968f;margin-top:2.5rem}
h3{font-size:1.1rem;margin-top:2rem}
code,pre{font-family:ui-monospace,monospace;font-size:.92em}code{background:#eef1ec;padding:.05em .25em}
pre{background:#eef1ec;padding:.75rem;overflow-x:auto}pre code{padding:0}
table{border-collapse:collapse;width:100%}
th,td{text-align:left;vertical-align:top;padding:.3rem .5rem;border-bottom:1px solid #d3d8ce}
.scroll{overflow-x:auto}.verb{font-weight:700;color:#23591f}a{color:#174a78}:focus-visible{outline:3px solid #1a5fb4}
"""
POLICY = (
    "default-src 'none'; style-src 'sha256-"
    + base64.b64encode(hashlib.sha256(_STYLE.encode()).digest()).decode()
    + "'; frame-ancestors 'none'"
)
"""The content policy that the page needs."""


def docs_page(contract: Document) -> str:
    """The whole page."""
    info = contract["info"]
    operations = [
        (tag["name"], path, verb, told)
        for tag in contract["tags"]
        for path, verbs in contract["paths"].items()
        for verb, told in verbs.items()
        if tag["name"] in told["tags"]
    ]
    parts = [
        f"<header><h1>{escape(info['title'])}, version {escape(info['version'])}</h1>",
        _paragraphs(info["description"]),
        '<p>The same for programs: <a href="/openapi.json">the contract</a>, OpenAPI 3.1.</p></header>',
        f'<nav aria-label="Contents">{_contents(contract, operations)}</nav><main>',
    ]
    for tag in contract["tags"]:
        parts.append(f'<h2 id="tag-{tag["name"]}">{escape(tag["name"])}</h2>{_paragraphs(tag["description"])}')
        parts += [_operation(path, verb, told) for name, path, verb, told in operations if name == tag["name"]]
    parts.append('<h2 id="schemas">What bodies and answers hold</h2>')
    parts += [_schema(name, schema) for name, schema in contract["components"]["schemas"].items()]
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(info['title'])}</title><style>{_STYLE}</style></head>\n<body>"
        + "\n".join(parts)
        + "</main></body></html>\n"
    )


def _contents(contract: Document, operations: list[tuple[str, str, str, Document]]) -> str:
    listed = []
    for tag in contract["tags"]:
        inner = "".join(
            f'<li><a href="#{told["operationId"]}">{escape(told["summary"])}</a></li>'
            for name, _, _, told in operations
            if name == tag["name"]
        )
        listed.append(f'<li><a href="#tag-{tag["name"]}">{escape(tag["name"])}</a><ul>{inner}</ul></li>')
    return f'<ul>{"".join(listed)}<li><a href="#schemas">What bodies and answers hold</a></li></ul>'


def _operation(path: str, verb: str, told: Document) -> str:
    parts = [
        f'<h3 id="{told["operationId"]}">{escape(told["summary"])}</h3>',
        f'<p><span class="verb">{verb.upper()}</span> <code>{escape(path)}</code></p>',
        _paragraphs(told["description"]),
        f'<pre tabindex="0"><code>{escape(_curl(path, verb, told))}</code></pre>',
    ]
    if told.get("parameters"):
        rows = [
            (f"<code>{escape(one['name'])}</code>", one["in"], _type(one["schema"]), _inline(one["description"]))
            for one in told["parameters"]
        ]
        parts.append(_table(("Parameter", "In", "Type", "Meaning"), rows))
    if "requestBody" in told:
        parts.append(f"<p>Asks: {_content(told['requestBody']['content'])}</p>")
    good = told["responses"]["200"]["content"]
    parts.append(f"<p>Answers: {_content(good)}</p>")
    for name, example in good["application/json"].get("examples", {}).items():
        text = json.dumps(example["value"], indent=1, ensure_ascii=False)
        cut = " (cut)" if len(text) > _MOST_SHOWN else ""
        parts.append(
            f"<details><summary>Answer to {escape(name)}{cut}</summary>"
            f'<pre tabindex="0"><code>{escape(text[:_MOST_SHOWN])}</code></pre></details>'
        )
    refusals = [(status, _inline(one["description"])) for status, one in told["responses"].items() if status != "200"]
    parts.append(_table(("Status", "Refusal"), refusals))
    return f"<section>{''.join(parts)}</section>"


def _curl(path: str, verb: str, told: Document) -> str:
    """A line that works against the service as it is started at first."""
    service = "http://127.0.0.1:8000"
    if verb == "get":
        asked = path
        for one in told.get("parameters", ()):
            if one["in"] == "path":
                asked = asked.replace(f"{{{one['name']}}}", quote(str(one["example"]), safe=""))
        return f"curl --silent '{service}{asked}'"
    examples = told["requestBody"]["content"]["application/json"]["examples"]
    body = json.dumps(next(iter(examples.values()))["value"], ensure_ascii=False).replace("'", "'\\''")
    return f"curl --silent --header 'Content-Type: application/json' \\\n  --data '{body}' \\\n  {service}{path}"


def _content(content: Document) -> str:
    return "; ".join(f"<code>{escape(kind)}</code> {_type(one.get('schema', {}))}" for kind, one in content.items())


def _schema(name: str, schema: Document) -> str:
    parts = [f'<h3 id="schema-{name}">{name}</h3>', _paragraphs(schema.get("description", ""))]
    if "enum" in schema:
        parts.append(f"<p>One of {', '.join(f'<code>{escape(str(word))}</code>' for word in schema['enum'])}.</p>")
    if schema.get("properties"):
        must = set(schema.get("required", ()))
        rows = [
            (
                f"<code>{escape(field)}</code>{'' if field in must else ' (may be left out)'}"
                f"{' (deprecated)' if told.get('deprecated') else ''}",
                _type(told),
                _inline(told.get("description", "")),
            )
            for field, told in schema["properties"].items()
        ]
        parts.append(_table(("Field", "Type", "Meaning"), rows))
    return f"<section>{''.join(parts)}</section>"


def _type(schema: Document) -> str:
    """A type in words, with its bounds; named ones lead to where they are told."""
    if "$ref" in schema:
        name = schema["$ref"].rsplit("/", 1)[1]
        return f'<a href="#schema-{name}">{name}</a>'
    if "anyOf" in schema:
        return " or ".join(_type(branch) for branch in schema["anyOf"])
    if "enum" in schema:
        return " or ".join(f"<code>{escape(str(word))}</code>" for word in schema["enum"])
    if "items" in schema:
        return f"list of {_type(schema['items'])}{_bounds(schema)}"
    return f"{escape(str(schema.get('type', 'anything')))}{_bounds(schema)}"


_BOUNDS = {
    "minimum": "from {}",
    "exclusiveMinimum": "more than {}",
    "maximum": "to {}",
    "exclusiveMaximum": "less than {}",
    "minItems": "at least {} items",
    "maxItems": "at most {} items",
    "minLength": "at least {} characters",
    "maxLength": "at most {} characters",
    "pattern": "of the form {}",
}


def _bounds(schema: Document) -> str:
    told = [words.format(escape(str(schema[name]))) for name, words in _BOUNDS.items() if name in schema]
    return f" ({', '.join(told)})" if told else ""


def _table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    top = "".join(f'<th scope="col">{words}</th>' for words in head)
    body = "".join(f"<tr>{''.join(f'<td>{cell}</td>' for cell in row)}</tr>" for row in rows)
    return f'<div class="scroll" tabindex="0"><table><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>'


def _paragraphs(text: str) -> str:
    return "".join(f"<p>{_inline(part)}</p>" for part in re.split(r"\n\s*\n", text.strip()) if part)


def _inline(text: str) -> str:
    return "".join(_pieces(text))


def _pieces(text: str) -> Iterator[str]:
    """Text with what stands between backticks as code."""
    for n, piece in enumerate(re.split(r"`+", text)):
        yield f"<code>{escape(piece)}</code>" if n % 2 else escape(piece)
