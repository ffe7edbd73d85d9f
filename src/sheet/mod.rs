//! What was typed: keys, ranges and units, TOML and CSV, alloys, notes. Files become checked reeds here.

pub mod alloys;
mod build;
mod cell;
mod checked;
mod error;
mod key_table;
pub mod keys;
mod layer;
mod names;
pub mod notes;
mod own_alloys;
mod read;
mod reed_spec;
mod source;
mod tolerances;
mod toml_text;
mod tuning;
mod value;

pub use alloys::{Alloy, known_alloys};
pub use checked::{Assumed, CheckedReed, Measured, Metal, ThicknessFinding};
pub use error::{Problem, SheetError};
pub use keys::{KEYS, Key, Table};
pub use layer::{Entry, Layer};
pub use notes::Note;
pub use read::read;
pub use reed_spec::{ReedFile, ReedSpec, UsualAir};
pub use source::{Place, Source};
pub use tolerances::Tolerances;
pub use tuning::{Nearest, Temperament, Tuning};
pub use value::Value;
