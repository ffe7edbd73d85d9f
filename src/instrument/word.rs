//! The player's own word on a reed, which outranks the model.

use super::asked::{AskedBy, Limit};
use super::assess::ReedAssessment;
use super::margin::{Margin, MarginOf};
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

/// The margins of a reed of which the word was said as it is now: in what it speaks of, the word is sure.
pub(super) fn heard(mut margins: Vec<Margin>, feel: Feel) -> Vec<Margin> {
    if feel == Feel::Airy && !margins.iter().any(|margin| margin.of == MarginOf::Leak) {
        margins.push(Margin::none(MarginOf::Leak, 0.5));
    }
    let good = feel == Feel::Good;
    for margin in margins.iter_mut().filter(|margin| speaks_of(feel).contains(&margin.of)) {
        *margin = if good { margin.by_word(NOTICED, f64::max, 1.0) } else { margin.by_word(-NOTICED, f64::min, 0.0) };
    }
    margins
}

/// What became of the word, as a sentence without its point; nothing where there is none, or nothing is left of it.
pub(super) fn sentence(assessed: &ReedAssessment) -> Option<String> {
    let feel = assessed.reed.feel?;
    let asked = &assessed.asked;
    let soft = moved(asked.soft_pa, |is, was| format!("soft is taken as {is} here, not {was}"), units::pascal);
    let hard = moved(asked.hard_pa, |is, was| format!("hard is taken as {is} here, not {was}"), units::pascal);
    let time = moved(asked.time_s, |is, was| format!("{is} are allowed here, not {was}"), units::seconds);
    let leak = (assessed.says == Some(Feel::Airy)).then(|| leak(assessed)).flatten();
    let parts: Vec<String> = [soft, hard, time, leak].into_iter().flatten().collect();
    match (assessed.says, parts[..].is_empty()) {
        (Some(_), true) => Some(format!("the player says {}, and so does the model", feel.word())),
        (Some(_), false) => {
            Some(format!("the player says {}, which outranks the model: {}", feel.word(), parts.join("; ")))
        }
        (None, true) => None,
        (None, false) => Some(format!("the player said {} before it was worked on: {}", feel.word(), parts.join("; "))),
    }
}

fn moved(limit: Limit, words: impl Fn(String, String) -> String, show: impl Fn(f64) -> String) -> Option<String> {
    let AskedBy::Word { instead_of } = limit.by else { return None };
    Some(words(show(limit.value), show(instead_of)))
}

fn leak(assessed: &ReedAssessment) -> Option<String> {
    match assessed.leak_cost {
        None => Some("no leak was measured".to_owned()),
        Some(found) if found.cost < NOTICED => Some("it leaks more than was measured".to_owned()),
        Some(_) => None,
    }
}
