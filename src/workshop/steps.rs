//! A plan in words: what to do, pass by pass, and when to stop.

/// What to do at the bench, in order. Every step says an amount; a plan of more than one pass measures between them.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Steps {
    /// One sentence each, in bench units.
    pub steps: Vec<String>,
    /// When to stop, whatever the plan says.
    pub stop: String,
}
