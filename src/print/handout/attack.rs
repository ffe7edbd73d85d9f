//! Lesson: why a hard attack can silence a reed.

use maud::{Markup, html};
use rayon::prelude::*;

use super::Figure;
use super::bench::{Answer, Bench, Blown, Tried, round};
use super::lesson::{Lesson, table};
use super::words::{
    Trend, answer, answers, at_any_pressure, decapital, feel, gap, pressure, tip_place, trend_of_ratios,
};
use crate::physics::onset::{Choke, Search};
use crate::physics::steady::BranchEnd;
use crate::print::charts::attack_chart;
use crate::study::changed::{tip_gap_m, with_tip_gap};

/// One step of the ladder of blows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// The blow from rest.
    pub blown: Blown,
    /// Where the tip rests under this pressure while it does not swing (m above the plate); nothing where it has snapped
    /// shut.
    pub leaning_m: Option<f64>,
}

/// The reed blown harder and harder.
#[derive(Debug, Clone, PartialEq)]
pub struct AttackLesson {
    /// Height of the tip as it is (m).
    pub gap_m: f64,
    /// The blows, softest first.
    pub steps: Vec<Step>,
    /// Least pressure that starts it (Pa).
    pub onset_pa: Option<f64>,
    /// Where a slow attack no longer starts it.
    pub choke: Choke,
    /// Highest pressure searched (Pa).
    pub limit_pa: f64,
    /// How far a reed that sounds goes on sounding.
    pub holds: Holds,
    /// The same with the gap halved.
    pub closer: Option<Tried>,
    /// Pictures.
    pub figures: Vec<Figure>,
}

/// How far up a reed that already sounds goes on sounding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Holds {
    /// Up to this pressure (Pa).
    UpTo(f64),
    /// To the limit of the search.
    ToTheLimit,
    /// It was not found.
    NotKnown,
}

impl AttackLesson {
    pub(super) fn of(bench: &Bench<'_>) -> Self {
        let (reed, speaking) = (bench.reed(), &bench.speaking);
        let gap_m = tip_gap_m(reed);
        let lean =
            |pressure_pa| bench.model.static_rest(pressure_pa).map(|rest| gap_m + rest.tip_m.iter().sum::<f64>());
        let step = |&pressure_pa: &f64| Step { blown: bench.blow(pressure_pa), leaning_m: lean(pressure_pa) };
        let closer =
            (gap_m > 0.0).then(|| bench.tried(f64::NAN, [(0.5 * gap_m, with_tip_gap(reed, 0.5 * gap_m))]).pop());
        Self {
            gap_m,
            steps: ladder(bench).par_iter().map(step).collect(),
            onset_pa: speaking.onset.map(|onset| onset.pressure_pa),
            choke: speaking.choke,
            limit_pa: speaking.limit_pa,
            holds: holds(bench),
            closer: closer.flatten(),
            figures: vec![beginning(bench)],
        }
    }

    pub(super) fn lesson(&self) -> Lesson<'_> {
        Lesson {
            title: "Why a hard attack can silence a reed",
            text: self.text(),
            figures: &self.figures,
            question:
                "A player wants this reed as loud as it will go. Is it better to hit it hard from silence, or to start \
                       gently and swell? Say why before you look."
                    .to_owned(),
            answer: self.answer(),
        }
    }

    fn text(&self) -> Markup {
        html! {
            p {
                "A steady breath does not only feed the swing. It also leans on the tongue and holds it nearer to the slot. A \
                 little of that does no harm. But lean too far, and the tongue stands in the doorway before it has begun to \
                 swing: hardly any air moves past it, and with no air moving there is nothing to feed on."
            }
            (table(
                "This reed blown from silence, harder and harder",
                &["Pressure", "What the breath is like", "Where the tip is held", "The reed"],
                &self.steps.iter().map(row).collect::<Vec<_>>(),
            ))
            p.small { "“Where the tip is held” is where the breath alone would hold it, if it did not swing." }
            p { (self.ladder_sentence()) }
            p { (self.choke_sentence()) }
            @if let Some(sentence) = self.closer_sentence() { p { (sentence) } }
            p { (self.holds_sentence()) }
        }
    }

    fn ladder_sentence(&self) -> String {
        let times: Vec<(usize, f64)> =
            self.steps.iter().enumerate().filter_map(|(k, step)| Some((k, step.blown.answer.t50_s()?))).collect();
        let at = |k: usize| pressure(self.steps[k].blown.pressure_pa);
        let (Some(&(first, slow)), Some(&(last, quick))) = (times.first(), times.last()) else {
            return "It answers none of these blows.".to_owned();
        };
        let time = |t50_s| answer(Answer::Speaks { t50_s });
        let found = match trend_of_ratios(&times.iter().map(|(_, t50_s)| *t50_s).collect::<Vec<_>>()) {
            Trend::Falls => format!(
                "The harder it is blown, the sooner it speaks: {} at {}, {} at {}.",
                time(slow),
                at(first),
                time(quick),
                at(last)
            ),
            Trend::Dips(k) => format!(
                "Up to {} a harder blow makes it speak sooner, {} there. Beyond, a harder blow makes it later again: {} at {}.",
                at(times[k].0),
                time(times[k].1),
                time(quick),
                at(last)
            ),
            Trend::Rises => format!(
                "On this reed even these blows come too hard: it speaks later and later, {} at {}, {} at {}.",
                time(slow),
                at(first),
                time(quick),
                at(last)
            ),
            Trend::Unknown => format!("Of these blows it answers only {}: {}.", at(first), time(slow)),
            Trend::Level | Trend::Peaks(_) | Trend::Mixed => format!(
                "Its time to speak does not follow the pressure in a simple way: {} at {}, {} at {}.",
                time(slow),
                at(first),
                time(quick),
                at(last)
            ),
        };
        match self.steps.get(last + 1) {
            Some(step) => format!(
                "{found} And at {} {}: for a player, the attack has silenced it.",
                pressure(step.blown.pressure_pa),
                answers(step.blown.answer)
            ),
            None => found,
        }
    }

    fn choke_sentence(&self) -> String {
        let limit = pressure(self.limit_pa);
        match self.choke {
            _ if self.onset_pa.is_none() => format!("As it is, this reed does not start {}.", at_any_pressure()),
            Choke::NoneBelowLimit => format!(
                "For this reed there is no such end up to {limit}, which is more than lungs can give: no breath is too hard for \
                 it to begin."
            ),
            Choke::Fades(pressure_pa) => format!(
                "From rest the swing hardly builds up any more above {}: {}. A makers' word for it is that the reed chokes.",
                pressure(pressure_pa),
                feel(pressure_pa)
            ),
            Choke::Snaps(pressure_pa) => format!(
                "At {} it gives way all at once and snaps into the slot: {}. A makers' word for it is that the reed chokes.",
                pressure(pressure_pa),
                feel(pressure_pa)
            ),
        }
    }

    fn closer_sentence(&self) -> Option<String> {
        let closer = self.closer.as_ref()?;
        if closer.onset_pa.is_none() || self.onset_pa.is_none() {
            return None;
        }
        let half = gap(closer.value);
        Some(match (self.choke.pressure_pa(), closer.choke.pressure_pa()) {
            (Some(now), Some(then)) if then < 0.98 * now => format!(
                "The gap is the cure. Halve it to {half}, and it chokes sooner, at {} instead of {}. Open it, and the end moves \
                 up.",
                pressure(then),
                pressure(now)
            ),
            (Some(now), Some(then)) => {
                format!(
                    "On this reed half the gap, {half}, does not choke sooner: {} instead of {}.",
                    pressure(then),
                    pressure(now)
                )
            }
            (None, Some(then)) => format!("But halve its gap to {half}, and it chokes at {}.", pressure(then)),
            (Some(now), None) => {
                format!(
                    "On this reed half the gap, {half}, does not choke at all, while the whole gap does at {}.",
                    pressure(now)
                )
            }
            (None, None) => format!("Even with half the gap, {half}, it does not choke."),
        })
    }

    fn holds_sentence(&self) -> String {
        let choke = self.choke.pressure_pa().filter(|_| self.onset_pa.is_some());
        match (self.holds, choke) {
            (Holds::UpTo(high), Some(choke)) if high > 1.02 * choke => format!(
                "A reed that already swings is another matter: it throws itself out of the slot again and again. Once it \
                 sounds, this one goes on up to {}.",
                pressure(high)
            ),
            (Holds::ToTheLimit, Some(_)) => format!(
                "A reed that already swings is another matter: it throws itself out of the slot again and again. Once it \
                 sounds, this one goes on up to {} and more.",
                pressure(self.limit_pa)
            ),
            (Holds::UpTo(high), _) => format!("Once it sounds, it goes on up to {}, not further.", pressure(high)),
            _ => String::new(),
        }
    }

    fn answer(&self) -> String {
        let Some(onset_pa) = self.onset_pa else {
            return format!("Neither helps: {} First give it another gap.", decapital(&self.choke_sentence()));
        };
        let Some(choke_pa) = self.choke.pressure_pa() else {
            return format!(
                "For starting it makes no difference which you choose: {} All the same, a gentle start is kinder to the metal.",
                self.choke_sentence()
            );
        };
        let start = format!(
            "anywhere between {} and {} it starts by itself, even from the gentlest rise",
            pressure(onset_pa),
            pressure(choke_pa)
        );
        let then = match self.holds {
            Holds::UpTo(high) if high <= 1.02 * choke_pa => {
                format!("But do not swell beyond {}: there it stops even when it sounds.", pressure(high))
            }
            Holds::UpTo(high) => format!("Once it sounds it may be swollen up to {}.", pressure(high)),
            Holds::ToTheLimit => {
                format!("Once it sounds it may be swollen as far as lungs go, past {}.", pressure(self.limit_pa))
            }
            Holds::NotKnown => "How far it may then be swollen, try with care.".to_owned(),
        };
        format!("{}. {then}", crate::units::capital(&format!("start gently and swell: {start}")))
    }
}

fn row(step: &Step) -> (bool, Vec<String>) {
    let blown = step.blown;
    let held = step.leaning_m.map_or("snapped shut".to_owned(), tip_place);
    (false, vec![pressure(blown.pressure_pa), feel(blown.pressure_pa).to_owned(), held, answer(blown.answer)])
}

/// The firm blow, swing by swing.
fn beginning(bench: &Bench<'_>) -> Figure {
    let attack = bench.attack(bench.blows.firm_pa);
    let mut chart = attack_chart(bench.name, bench.checked, &bench.model, &attack, bench.tuning);
    chart.small_print.clear();
    Figure {
        svg: chart.picture().to_svg(),
        caption: format!(
            "What the tip does in the first moments of a firm blow of {}, the breath rising in a hundredth of a second.",
            pressure(attack.blow.pressure_pa)
        ),
    }
}

/// From just above onset to far beyond choke (Pa).
fn ladder(bench: &Bench<'_>) -> Vec<f64> {
    const RUNGS: i32 = 6;
    let [soft, _, hard] = bench.blows.all_pa();
    let limit = Search::default().limit_pa;
    let top = bench
        .speaking
        .choke
        .pressure_pa()
        .map_or(3.0 * hard, |choke| 1.6 * choke)
        .clamp(1.2 * hard, limit.max(1.2 * hard));
    let ratio = (top / soft).powf(1.0 / f64::from(RUNGS - 1));
    let rung = |k: i32| soft * ratio.powi(k);
    let mut rungs: Vec<f64> = (0..RUNGS).map(|k| round(rung(k)).min(limit)).collect();
    rungs.dedup();
    rungs
}

fn holds(bench: &Bench<'_>) -> Holds {
    let branch = bench.model.branch(&bench.speaking, bench.speaking.limit_pa);
    match branch.map(|branch| (branch.end, branch.highest_pa)) {
        Some((BranchEnd::Limit, _)) => Holds::ToTheLimit,
        Some((BranchEnd::Rest, Some(high))) if high.is_finite() => Holds::UpTo(high),
        _ => Holds::NotKnown,
    }
}
