//! What each command prints as JSON, as a JSON Schema (draft 2020-12).

/// The schema of each command's `--json`, and of what is printed instead where the call or the input is wrong ("error"), by
/// name. Every key, its kinds and whether it was there every time; keys say their units.
///
/// They are collected from what the program printed over its tests, the shipped jobs and other whole sets, and every answer in
/// the tests is held to them: a key of which no schema knows fails. What never occurred there (a number that may be null, say)
/// is not in them.
pub const SCHEMAS: [(&str, &str); 21] = [
    ("align", include_str!("../../data/schema/align.json")),
    ("assess", include_str!("../../data/schema/assess.json")),
    ("attack", include_str!("../../data/schema/attack.json")),
    ("balance", include_str!("../../data/schema/balance.json")),
    ("care", include_str!("../../data/schema/care.json")),
    ("error", include_str!("../../data/schema/error.json")),
    ("fasten", include_str!("../../data/schema/fasten.json")),
    ("life", include_str!("../../data/schema/life.json")),
    ("listen", include_str!("../../data/schema/listen.json")),
    ("predict", include_str!("../../data/schema/predict.json")),
    ("protocol", include_str!("../../data/schema/protocol.json")),
    ("regap", include_str!("../../data/schema/regap.json")),
    ("rehearse", include_str!("../../data/schema/rehearse.json")),
    ("replace", include_str!("../../data/schema/replace.json")),
    ("retune", include_str!("../../data/schema/retune.json")),
    ("rounds", include_str!("../../data/schema/rounds.json")),
    ("seal", include_str!("../../data/schema/seal.json")),
    ("sweep", include_str!("../../data/schema/sweep.json")),
    ("verify", include_str!("../../data/schema/verify.json")),
    ("whatif", include_str!("../../data/schema/whatif.json")),
    ("worklist", include_str!("../../data/schema/worklist.json")),
];

/// The schema of a command.
///
/// ```
/// use freereed::print::schema::schema;
/// let text = schema("predict").unwrap();
/// let predict: serde_json::Value = serde_json::from_str(text).unwrap();
/// assert!(predict["properties"]["onset_pressure_pa"].is_object());
/// ```
pub fn schema(command: &str) -> Option<&'static str> {
    SCHEMAS.iter().find(|(name, _)| *name == command).map(|(_, text)| *text)
}
