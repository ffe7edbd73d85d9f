//! The player's own word on a reed, which outranks the model.
//!
//! A word says on which side of the demand a reed lies. Where the model says otherwise, it is the demand that is not where
//! the job puts it: it is moved until the margin is on the side the word says, by a tenth, the least a player is taken to
//! notice (assumed): `margin <= -ln 1.1` for a word of blame, `margin >= ln 1.1` for "good". The word holds until a later
//! round of measuring has another one.

use super::assess::ReedAssessment;
use super::margin::{Against, Margin, MarginOf};
use crate::sheet::Feel;
use crate::units;

/// `ln 1.1`: the least a player is taken to notice.
pub(super) const NOTICED: f64 = 0.095_310_179_804_324_86;

/// What a word speaks of.
pub(super) fn speaks_of(feel: Feel) -> &'static [MarginOf] {
    match feel {
        Feel::TooStiff => &[MarginOf::Soft],
        Feel::Late => &[MarginOf::Time],
        Feel::Airy => &[MarginOf::Leak],
        Feel::Good => &[MarginOf::Soft, MarginOf::Hard, MarginOf::Time],
    }
}

/// The margins with the word on the reed heard.
pub(super) fn heard(mut margins: Vec<Margin>, feel: Option<Feel>) -> Vec<Margin> {
    let Some(feel) = feel else { return margins };
    if feel == Feel::Airy && !margins.iter().any(|margin| margin.of == MarginOf::Leak) {
        margins.push(Margin::none(MarginOf::Leak, 0.5));
    }
    for margin in margins.iter_mut().filter(|margin| speaks_of(feel).contains(&margin.of)) {
        *margin = one(margin, feel);
    }
    margins
}

fn one(margin: &Margin, feel: Feel) -> Margin {
    let good = feel == Feel::Good;
    let value = match (margin.value, good) {
        (Some(value), true) => value.max(NOTICED),
        (Some(value), false) => value.min(-NOTICED),
        (None, true) => NOTICED,
        (None, false) => -NOTICED,
    };
    let probability_good = if good { 1.0 } else { 0.0 };
    Margin { value: Some(value), probability_good, against: Against::Word { by_model: margin.value }, ..*margin }
}

/// What became of the word, as a sentence without its point; nothing where there is none.
pub(super) fn sentence(assessed: &ReedAssessment) -> Option<String> {
    let feel = assessed.reed.feel?;
    let moved: Vec<String> = assessed.margins.iter().filter_map(|margin| moved(margin, assessed)).collect();
    Some(match moved[..] {
        [] => format!("the player says {}, and so does the model", feel.word()),
        _ => format!("the player says {}, which outranks the model: {}", feel.word(), moved.join("; ")),
    })
}

/// The demand that was moved, and where to.
fn moved(margin: &Margin, assessed: &ReedAssessment) -> Option<String> {
    let Against::Word { by_model } = margin.against else { return None };
    let value = margin.value?;
    let Some(by_model) = by_model else { return Some("the model cannot judge that".to_owned()) };
    let by = value - by_model;
    if by == 0.0 {
        return None;
    }
    let pressures = assessed.pressures;
    let pressure = |what: &str, is: f64, then: f64| {
        format!("{what} is taken as {} here, not {}", units::pascal(then), units::pascal(is))
    };
    Some(match margin.of {
        MarginOf::Soft => pressure("soft", pressures.soft_pa, pressures.soft_pa * by.exp()),
        MarginOf::Hard => pressure("hard", pressures.hard_pa, pressures.hard_pa * (-by).exp()),
        MarginOf::Time => {
            let allowed_s = assessed.demand.allowed_s;
            format!("{} are allowed here, not {}", units::seconds(allowed_s * by.exp()), units::seconds(allowed_s))
        }
        _ => "what it leaks is more than is let pass".to_owned(),
    })
}
