//! One round as a table: a line for each thing that was measured or changed.

use comfy_table::CellAlignment;
use freereed::instrument::rounds::ReedRound;

use crate::cli::assess::{lines, table};

/// The table of one round.
pub fn of_round(rows: &[&ReedRound]) -> String {
    let mut table = table(&ReedRound::HEAD);
    for row in rows {
        for (k, cells) in row.lines().into_iter().enumerate() {
            let (id, done) = if k == 0 { (row.id.as_str(), row.done()) } else { ("", "") };
            table.add_row([id.to_owned(), done.to_owned()].into_iter().chain(cells));
        }
    }
    for column in table.column_iter_mut().skip(3).take(4) {
        column.set_cell_alignment(CellAlignment::Right);
    }
    lines(&table)
}
