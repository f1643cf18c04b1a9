"""The keys of a case file, as editors see them."""

from __future__ import annotations

import json
import re

from counterbounce.model.casefile.kinds import Quantity, Table
from counterbounce.model.casefile.schema import json_schema


def test_the_json_schema_describes_every_key_and_knows_its_units():
    schema = json_schema()
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert json.loads(json.dumps(schema)) == schema
    tables = [schema, *schema["$defs"].values()]
    for table in tables:
        assert table["additionalProperties"] is False
        assert table["description"]
        assert all(field.get("description") for field in table["properties"].values()), table["title"]
    load_key = schema["$defs"]["AxleTable"]["properties"]["load"]
    assert (load_key["type"], load_key["x-unit"], load_key["examples"]) == ("string", "kg", ["2.6 t"])
    assert re.search(load_key["pattern"], "2.6 t ± 2 %")
    assert not re.search(load_key["pattern"], "2.6")
    assert {"from", "to"} == set(schema["$defs"]["SpeedTable"]["properties"])


def test_every_example_in_the_schema_would_do():
    checked = 0
    for table in Table.__subclasses__():
        for info in table.model_fields.values():
            for quantity in (meta for meta in info.metadata if isinstance(meta, Quantity)):
                for example in [quantity.wants.example, *(info.examples or [])]:
                    quantity.read(example)
                    checked += 1
    assert checked > 60
