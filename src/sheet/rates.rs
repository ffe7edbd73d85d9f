//! `[rates]` of a job: minutes for each operation.

use super::checked::Assumed;
use super::operation::Operation;
use super::toml_text::{Item, Name, Reading};

/// Minutes a reed for each operation: as typed, else as [`Operation::ALL`] assumes.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Rates {
    typed: Vec<(Operation, f64)>,
}

impl Rates {
    /// Minutes a reed.
    pub fn minutes(&self, operation: Operation) -> f64 {
        let typed = self.typed.iter().find(|(known, _)| *known == operation).map(|(_, minutes)| *minutes);
        typed.unwrap_or(operation.row().usual_minutes)
    }

    /// What is assumed of some operations: for the list of a result that leans on them.
    pub fn assumed(&self, operations: impl IntoIterator<Item = Operation>) -> Vec<Assumed> {
        let is_typed = |operation: Operation| self.typed.iter().any(|(known, _)| *known == operation);
        let left_out = operations.into_iter().filter(|operation| !is_typed(*operation));
        let assumption = |operation: Operation| Assumed {
            key: format!("rates.{}", operation.row().key),
            value: format!("{} minutes", operation.row().usual_minutes),
            why: "no rate was stated; common practice, no source".to_owned(),
        };
        left_out.map(assumption).collect()
    }
}

impl Reading<'_> {
    pub(super) fn rates(&mut self, table: Option<(&Name<'_>, &Item<'_>)>) -> Rates {
        let mut rates = Rates::default();
        for (name, item) in table.and_then(|(name, item)| self.table(name, item)).into_iter().flatten() {
            let key: &str = name.get_ref();
            let Some(row) = Operation::ALL.iter().find(|row| row.key == key) else {
                self.unknown(name, &Operation::ALL.map(|row| row.key));
                continue;
            };
            let (least, most) = (Operation::LEAST_MINUTES, Operation::MOST_MINUTES);
            let minutes = self.number(name, item, least, most, Operation::MINUTES_REASON);
            rates.typed.extend(minutes.map(|minutes| (row.operation, minutes)));
        }
        rates
    }
}
