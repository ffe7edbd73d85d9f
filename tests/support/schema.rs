//! Every answer as JSON that any test sees is held to the schema of its command in `data/schema`, which `freereed schema`
//! prints. `FREEREED_WRITE_SCHEMA=1 cargo test --test cli` widens the schemas by what it sees.

#![allow(dead_code)]

use std::path::Path;
use std::sync::Mutex;

use serde_json::{Map, Value, json};

/// One writer at a time.
static WRITING: Mutex<()> = Mutex::new(());

/// Panics where an answer of a command has a key, or a kind of value, of which its schema does not know, or lacks one that
/// it promises.
#[track_caller]
pub fn hold(command: &str, answer: &Value) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/schema").join(format!("{command}.json"));
    let writes = std::env::var_os("FREEREED_WRITE_SCHEMA").is_some();
    let _guard = writes.then(|| WRITING.lock().unwrap_or_else(std::sync::PoisonError::into_inner));
    let schema = match std::fs::read_to_string(&path) {
        Ok(text) => serde_json::from_str(&text).unwrap(),
        Err(_) if writes => begun(command),
        Err(error) => panic!("{}: {error}", path.display()),
    };
    let mut widened = schema.clone();
    let mut found = Vec::new();
    widen(&mut widened, answer, "", &mut found);
    if writes && widened != schema {
        std::fs::write(&path, serde_json::to_string_pretty(&widened).unwrap() + "\n").unwrap();
    } else if !writes {
        assert!(found.is_empty(), "{command} --json is not as {} has it:\n{}", path.display(), found.join("\n"));
    }
}

fn begun(command: &str) -> Value {
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": format!("freereed {command} --json"),
    })
}

/// Makes a schema allow a value as well; `found` is told of each thing it did not allow.
///
/// Of JSON Schema (draft 2020-12) it knows `type`, `items`, and of objects either `properties`, `required` and no others, or
/// one schema for whatever `additionalProperties` there are.
fn widen(schema: &mut Value, value: &Value, place: &str, found: &mut Vec<String>) {
    let all = schema.as_object_mut().expect("a schema is an object");
    let is_new = !all.contains_key("type");
    allow(all, value, place, found);
    match value {
        Value::Array(items) => {
            let schema = all.entry("items").or_insert_with(|| json!({}));
            items.iter().for_each(|item| widen(schema, item, &format!("{place}[]"), found));
        }
        Value::Object(object) => {
            if let Some(open) = all.get_mut("additionalProperties").filter(|open| open.is_object()) {
                object.iter().for_each(|(key, value)| widen(open, value, &format!("{place}.{key}"), found));
                return;
            }
            all.entry("properties").or_insert_with(|| json!({}));
            let is_first = is_new || !all.contains_key("required");
            let promised = all.entry("required").or_insert_with(|| json!(object.keys().collect::<Vec<_>>()));
            let promised = promised.as_array_mut().expect("a list");
            promised.retain(|key| {
                let kept = key.as_str().is_some_and(|key| object.contains_key(key));
                if !kept {
                    found.push(format!("{place}.{key} is promised and not there"));
                }
                kept
            });
            let known = all["properties"].as_object_mut().expect("a map");
            for (key, value) in object {
                let here = format!("{place}.{key}");
                if !known.contains_key(key) && !is_first {
                    found.push(format!("{here} is not known"));
                }
                widen(known.entry(key).or_insert_with(|| json!({})), value, &here, found);
            }
            all.insert("additionalProperties".to_owned(), json!(false));
        }
        _ => {}
    }
}

fn allow(schema: &mut Map<String, Value>, value: &Value, place: &str, found: &mut Vec<String>) {
    let kind = match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(_) => "number",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
    };
    let mut kinds: Vec<String> = match schema.get("type") {
        Some(Value::String(one)) => vec![one.clone()],
        Some(Value::Array(several)) => several.iter().map(|one| one.as_str().expect("a name").to_owned()).collect(),
        _ => Vec::new(),
    };
    if !kinds.iter().any(|known| known == kind) {
        found.push(format!("{place} is a {kind}"));
        kinds.push(kind.to_owned());
        kinds.sort();
        schema.insert("type".to_owned(), if kinds.len() == 1 { json!(kinds[0]) } else { json!(kinds) });
    }
}

#[test]
fn a_schema_that_knows_an_answer_is_not_widened_by_it() {
    let answer = json!({ "a_pa": 1.0, "reeds": [{ "id": "x", "level_db": null }, { "id": "y", "level_db": 60 }] });
    let mut schema = json!({});
    widen(&mut schema, &answer, "", &mut Vec::new());
    let judged = |answer: Value| {
        let (mut schema, mut found) = (schema.clone(), Vec::new());
        widen(&mut schema, &answer, "", &mut found);
        found
    };
    assert_eq!(judged(answer), Vec::<String>::new());
    assert_eq!(judged(json!({ "a_pa": "1", "reeds": [] })), [".a_pa is a string"]);
    assert_eq!(judged(json!({ "reeds": [] })), [".\"a_pa\" is promised and not there"]);
    assert_eq!(judged(json!({ "a_pa": 1, "reeds": [], "b": 2 })), [".b is not known", ".b is a number"]);
}
