"""What a change of the contract breaks: ``python -m api.contract_changes`` compares it with the last release.

`openapi/released.json` is the contract of the last release without its words and examples (``--release`` writes it).
What breaks callers since then is listed, each with its reason, in `openapi/breaks.csv`; a test holds that list whole.
A caller is broken where a request that was taken is refused, or where an answer lacks what was promised: a field, a
status, that it is not null. What only adds (a field of an answer, a word of an answer's set, an optional field of a
request) breaks nobody who keeps the rules of `openapi/CHANGES.md`.
"""

import csv
import json
import sys
from collections.abc import Iterator
from typing import Any

from api.contract import COMMITTED

RELEASED = COMMITTED.parent / "released.json"
BREAKS = COMMITTED.parent / "breaks.csv"

Document = dict[str, Any]

_WORDS = {"description", "summary", "title", "examples", "example", "tags"}
_LOWER_BOUNDS = ("minimum", "exclusiveMinimum", "minLength", "minItems")
_UPPER_BOUNDS = ("maximum", "exclusiveMaximum", "maxLength", "maxItems")


def without_words(part: Any, fields: bool = False) -> Any:
    """A contract without what only people read. fields: the part's members are fields of an object, whatever called."""
    if isinstance(part, dict):
        kept = part if fields else {key: value for key, value in part.items() if key not in _WORDS}
        return {key: without_words(value, key in {"properties", "schemas", "mapping"}) for key, value in kept.items()}
    return [without_words(item) for item in part] if isinstance(part, list) else part


def breaks(old: Document, new: Document) -> list[str]:
    """What a caller of the old contract loses by the new one, a line each, in order."""
    return sorted(set(_Comparison(old, new).breaks()))


class _Comparison:
    """Two contracts, each with its own components."""

    def __init__(self, old: Document, new: Document) -> None:
        self.old, self.new = old, new
        self.compared: set[tuple[str, str, bool]] = set()

    def breaks(self) -> Iterator[str]:
        for path, methods in self.old["paths"].items():
            for method, operation in methods.items():
                now = self.new["paths"].get(path, {}).get(method)
                at = f"{method.upper()} {path}"
                if now is None:
                    yield f"{at}: gone"
                else:
                    yield from self.of_operation(at, operation, now)

    def of_operation(self, at: str, old: Document, new: Document) -> Iterator[str]:
        if old["operationId"] != new["operationId"]:
            yield f"{at}: its operationId {old['operationId']} is gone"
        before = {(one["in"], one["name"]): one for one in old.get("parameters", ())}
        now = {(one["in"], one["name"]): one for one in new.get("parameters", ())}
        yield from (f"{at}: parameter {name} is gone" for place, name in before if (place, name) not in now)
        for key, parameter in now.items():
            if parameter["required"] and not before.get(key, {"required": False})["required"]:
                yield f"{at}: parameter {key[1]} must be given"
            if key in before:
                yield from self.of_schema(f"{at}: {key[1]}", before[key]["schema"], parameter["schema"], asked=True)
        yield from self.of_content(f"{at} asks", old.get("requestBody"), new.get("requestBody"), asked=True)
        for status, response in old["responses"].items():
            if status.startswith("2"):
                yield from self.of_content(f"{at} answers", response, new["responses"].get(status), asked=False)

    def of_content(self, at: str, old: Document | None, new: Document | None, *, asked: bool) -> Iterator[str]:
        for media_type, content in (old or {}).get("content", {}).items():
            now = (new or {}).get("content", {}).get(media_type)
            if now is None:
                yield f"{at}: {media_type} is gone"
            elif "schema" in content:
                yield from self.of_schema(at, content["schema"], now["schema"], asked=asked)

    def of_schema(self, at: str, old: Document, new: Document, *, asked: bool) -> Iterator[str]:
        pair = (json.dumps(old, sort_keys=True), json.dumps(new, sort_keys=True), asked)
        if "$ref" in old or "$ref" in new:
            if pair in self.compared:
                return
            self.compared.add(pair)
        before, now = _branches(old, self.old), _branches(new, self.new)
        tagged = [kind for kind in now if kind.startswith("object ") and kind not in before]
        if "object" in before and "object" not in now and len(tagged) == 1:
            now["object"] = now.pop(tagged[0])  # the same object, which has got a tag
        for kind, branch in before.items():
            if kind not in now:
                if asked or kind != "null":  # an answer that is never null any more breaks nobody
                    yield f"{at}: {kind} is gone"
            else:
                yield from self.of_branch(at, branch, now[kind], asked=asked)
        if not asked:
            yield from (f"{at}: may be {kind}" for kind in now if kind not in before)

    def of_branch(self, at: str, old: Document, new: Document, *, asked: bool) -> Iterator[str]:
        before, now = old.get("properties", {}), new.get("properties", {})
        for name, field in before.items():
            if name in now:
                yield from self.of_schema(f"{at}.{name}", field, now[name], asked=asked)
            elif not asked or new.get("additionalProperties") is False:
                yield f"{at}.{name}: gone"
        must = set(new.get("required", ())) - set(old.get("required", ())) if asked else set()
        yield from (f"{at}.{name}: must be given" for name in sorted(must))
        if not asked:
            may_lack = set(old.get("required", ())) - set(new.get("required", ()))
            yield from (f"{at}.{name}: may be left out" for name in sorted(may_lack & set(now)))
        if "items" in old and "items" in new:
            yield from self.of_schema(f"{at}[]", old["items"], new["items"], asked=asked)
        if asked:
            yield from (f"{at}: the word {word} is gone" for word in _gone_words(old, new))
            yield from _narrowed(at, old, new)


def _branches(schema: Document, document: Document) -> dict[str, Document]:
    """What a value may be, by its JSON type; objects of a tagged union by their tag."""
    if "$ref" in schema:
        return _branches(document["components"]["schemas"][schema["$ref"].rsplit("/", 1)[1]], document)
    if "anyOf" in schema:
        return {kind: one for branch in schema["anyOf"] for kind, one in _branches(branch, document).items()}
    if "prefixItems" in schema:
        schema = {**schema, "items": schema["prefixItems"][0]}
    types = schema.get("type", "anything")
    tag = schema.get("properties", {}).get("type", {}).get("enum", ())
    if types == "object" and len(tag) == 1:
        return {f"object {tag[0]}": schema}
    return dict.fromkeys([types] if isinstance(types, str) else types, schema)


def _gone_words(old: Document, new: Document) -> list[str]:
    if "enum" not in new:
        return []
    if "enum" not in old:
        return ["other than those listed"]
    return [str(word) for word in old["enum"] if word not in new["enum"]]


def _narrowed(at: str, old: Document, new: Document) -> Iterator[str]:
    for name in _LOWER_BOUNDS:
        if name in new and new[name] > old.get(name, float("-inf")):
            yield f"{at}: {name} {new[name]}"
    for name in _UPPER_BOUNDS:
        if name in new and new[name] < old.get(name, float("inf")):
            yield f"{at}: {name} {new[name]}"
    if new.get("pattern", old.get("pattern")) != old.get("pattern"):
        yield f"{at}: pattern {new['pattern']}"


def known_breaks() -> dict[str, str]:
    """The breaks since the last release that were meant, each with its reason."""
    with BREAKS.open(encoding="utf-8", newline="") as file:
        return {row["change"]: row["reason"] for row in csv.DictReader(file)}


def main(arguments: list[str]) -> int:
    """Compare with the last release, or release; the exit status is 1 where a break is not among those meant."""
    contract = json.loads(COMMITTED.read_bytes())
    if arguments == ["--release"]:
        RELEASED.write_text(json.dumps(without_words(contract), separators=(",", ":")) + "\n", encoding="utf-8")
        BREAKS.write_text("change,reason\n", encoding="utf-8")
        print(f"Wrote {RELEASED.name} of version {contract['info']['version']}; {BREAKS.name} is empty again.")
        return 0
    found, known = breaks(json.loads(RELEASED.read_bytes()), contract), known_breaks()
    for line in found:
        print(line, "-", known.get(line) or "not among those meant")
    missing = [line for line in found if not known.get(line)]
    print(f"{len(found)} changes since the last release break callers, {len(missing)} of them not meant.")
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
