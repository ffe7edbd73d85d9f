//! What the workshop does to a reed, and how long each takes.

/// One kind of work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Operation {
    /// Metal taken or weight added, to change the pitch.
    Retune,
    /// The tongue bent, to change its tip gap.
    Regap,
    /// The tongue moved in its slot.
    Align,
    /// A leak stopped.
    Seal,
    /// The fastening made better.
    Fasten,
    /// Cleaned and looked over.
    Clean,
    /// A new tongue.
    Replace,
    /// Measured only.
    Measure,
}

/// One row of the table of rates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OperationRow {
    /// The operation.
    pub operation: Operation,
    /// Its name in a sheet.
    pub name: &'static str,
    /// Its key under `[rates]`.
    pub key: &'static str,
    /// Minutes a reed that are assumed: common practice, no source.
    pub usual_minutes: f64,
    /// What is done in that time.
    pub meaning: &'static str,
}

const fn row(
    operation: Operation,
    name: &'static str,
    key: &'static str,
    usual_minutes: f64,
    meaning: &'static str,
) -> OperationRow {
    OperationRow { operation, name, key, usual_minutes, meaning }
}

impl Operation {
    /// All of them: names, keys, usual minutes and meaning.
    pub const ALL: [OperationRow; 8] = [
        row(Self::Retune, "retune", "retune_minutes", 6.0, "Bring a reed to its pitch and check it."),
        row(Self::Regap, "regap", "regap_minutes", 3.0, "Bend a reed to another tip gap and check it."),
        row(Self::Align, "align", "align_minutes", 4.0, "Move a tongue in its slot until no side is close."),
        row(Self::Seal, "seal", "seal_minutes", 10.0, "Find and stop a leak: valve, plate or comb."),
        row(Self::Fasten, "fasten", "fasten_minutes", 8.0, "Tighten or renew a rivet, screw or clamp."),
        row(
            Self::Clean,
            "clean",
            "clean_minutes",
            8.0,
            "Clean a reed, look for a crack and a loose fastening, try its valve.",
        ),
        row(Self::Replace, "replace", "replace_minutes", 30.0, "Make and fit a new tongue, tuning apart."),
        row(Self::Measure, "measure", "measure_minutes", 4.0, "Measure a reed and write it down."),
    ];
    /// Least minutes a reed.
    pub const LEAST_MINUTES: f64 = 0.1;
    /// Most minutes a reed.
    pub const MOST_MINUTES: f64 = 600.0;
    /// Why the minutes end there.
    pub const MINUTES_REASON: &'static str = "minutes a reed, from a few seconds to a long day";

    /// Its row of the table.
    pub fn row(self) -> &'static OperationRow {
        const ALL: &[OperationRow; 8] = &Operation::ALL;
        &ALL[self as usize]
    }

    /// Whether a reed may ring otherwise after it, its pitch and gap apart.
    pub(crate) fn may_change_loss(self) -> bool {
        matches!(self, Self::Fasten | Self::Clean)
    }

    /// Its name in a sheet.
    pub fn name(self) -> &'static str {
        self.row().name
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_operation_stands_in_its_own_row() {
        for row in Operation::ALL {
            assert_eq!(row.operation.row(), &row);
            assert_eq!(row.key, format!("{}_minutes", row.name));
            assert!((Operation::LEAST_MINUTES..=Operation::MOST_MINUTES).contains(&row.usual_minutes));
            assert_eq!(serde_json::to_value(row.operation).unwrap(), row.name);
        }
    }
}
