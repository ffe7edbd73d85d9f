//! A booklet for those who learn the trade: what a reed does and why, with every number computed from the reed given.
//!
//! Values first, words after: [`Booklet::of`] blows, bends and files the reed in the computer; [`Booklet::to_html`] turns
//! what came of it into one printable page that needs nothing else. A sentence that says which way something goes has read
//! it off the values, so a reed that goes against the rule is described as it is.
//!
//! | lesson | values |
//! |---|---|
//! | What the gap does | [`GapLesson`] |
//! | What the slot edge does | [`EdgeLesson`] |
//! | Why high reeds are harder | [`HeightLesson`] |
//! | Why a hard attack can silence a reed | [`AttackLesson`] |
//! | How filing moves the pitch | [`FilingLesson`] |
//! | How one measurement sharpens the numbers | [`MeasuringLesson`] |
//! | How much is physics, and how much is feel | [`TrustLesson`] |

mod attack;
mod bench;
mod edge;
mod figures;
mod filing;
mod gap;
mod height;
mod lesson;
mod measuring;
mod page;
mod trust;
mod words;

pub use attack::{AttackLesson, Holds, Step};
pub use bench::{Answer, Blown, Blows, Tried};
pub use edge::EdgeLesson;
pub use figures::FIGURE_STEPS;
pub use filing::{FilingLesson, Stretch};
pub use gap::GapLesson;
pub use height::HeightLesson;
pub use measuring::{MeasuringLesson, WithLoss};
pub use page::ReedFacts;
pub use trust::TrustLesson;

pub use super::page::Figure;

use crate::physics::InputError;
use crate::sheet::{CheckedReed, Tuning};
use bench::Bench;

/// How many lessons there are: each is told once it is computed.
pub const LESSONS: usize = 7;

/// All values of the booklet.
#[derive(Debug, Clone, PartialEq)]
pub struct Booklet {
    /// The reed by its sizes, for the first page.
    pub facts: ReedFacts,
    /// What the gap does.
    pub gap: GapLesson,
    /// What the slot edge does.
    pub edge: EdgeLesson,
    /// Why high reeds are harder.
    pub height: HeightLesson,
    /// Why a hard attack can silence a reed.
    pub attack: AttackLesson,
    /// How filing moves the pitch.
    pub filing: FilingLesson,
    /// How one measurement sharpens the numbers.
    pub measuring: MeasuringLesson,
    /// How much is physics, and how much is feel.
    pub trust: TrustLesson,
}

impl Booklet {
    /// Computes every lesson for a reed, some seconds of work; `done` is told the title of each lesson when it is.
    ///
    /// `name` is what the reader knows the reed by; an `invented` reed is said to be. Notes are named by `tuning`.
    ///
    /// # Errors
    /// A value for which the equations have no meaning; a reed from a sheet has none.
    pub fn of(
        checked: &CheckedReed,
        name: &str,
        invented: bool,
        tuning: &Tuning,
        done: &dyn Fn(&str),
    ) -> Result<Self, InputError> {
        let bench = Bench::new(checked, name, tuning)?;
        fn told<T>(lesson: T, title: &str, done: &dyn Fn(&str)) -> T {
            done(title);
            lesson
        }
        Ok(Self {
            facts: ReedFacts::of(&bench, invented),
            gap: told(GapLesson::of(&bench), "the gap", done),
            edge: told(EdgeLesson::of(&bench), "the slot edge", done),
            height: told(HeightLesson::of(&bench), "high reeds", done),
            attack: told(AttackLesson::of(&bench), "hard attacks", done),
            filing: told(FilingLesson::of(&bench), "filing", done),
            measuring: told(MeasuringLesson::of(&bench), "measuring", done),
            trust: told(TrustLesson::of(&bench)?, "physics and feel", done),
        })
    }

    /// The booklet as one HTML page: no network, no script, ready to print on A4 or Letter.
    pub fn to_html(&self) -> String {
        let lessons = [
            self.gap.lesson(),
            self.edge.lesson(),
            self.height.lesson(&self.facts.tuning),
            self.attack.lesson(),
            self.filing.lesson(&self.facts.tuning),
            self.measuring.lesson(),
            self.trust.lesson(),
        ];
        page::page(&self.facts, &lessons)
    }
}
