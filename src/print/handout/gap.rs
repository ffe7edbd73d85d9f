//! Lesson: what the gap does.

use maud::{Markup, html};

use super::Figure;
use super::bench::{Answer, Bench, Blows, Tried, own};
use super::lesson::{Lesson, table};
use super::words::{
    Trend, answer, answers, at_any_pressure, decapital, feel, gap, list, maybe_pressure, pascal, pressure, tip_place,
    trend_of_ratios, wait,
};
use crate::print::charts::bench_view;
use crate::study::changed::{tip_gap_m, with_tip_gap};
use crate::units::significant;

/// The reed with its tip at several heights.
#[derive(Debug, Clone, PartialEq)]
pub struct GapLesson {
    /// Height of the tip above the plate as it is (m).
    pub gap_m: f64,
    /// Each gap and what it does, smallest first; the value is the gap (m).
    pub tried: Vec<Tried>,
    /// The blows.
    pub blows: Blows,
    /// Pictures.
    pub figures: Vec<Figure>,
}

impl GapLesson {
    pub(super) fn of(bench: &Bench<'_>) -> Self {
        let gap_m = tip_gap_m(bench.reed());
        let reeds =
            gaps(gap_m, bench.reed().beam.length_m).into_iter().map(|gap| (gap, with_tip_gap(bench.reed(), gap)));
        Self { gap_m, tried: bench.tried(gap_m, reeds), blows: bench.blows, figures: vec![over_its_slot(bench)] }
    }

    pub(super) fn lesson(&self) -> Lesson<'_> {
        Lesson {
            title: "What the gap does",
            text: self.text(),
            figures: &self.figures,
            question: "A player brings you this reed and says: it needs too much breath before it starts. Everything else \
                       is sound: slot, chamber, metal. Would you bend the tip closer to the plate, or further away? And \
                       what would you watch while you do it?"
                .to_owned(),
            answer: self.answer(),
        }
    }

    fn text(&self) -> Markup {
        let blows = &self.blows;
        html! {
            p {
                "The gap is how high the tip stands above the plate when nobody blows. On this reed the tip rests "
                b { (tip_place(self.gap_m)) } (paper(self.gap_m)) "."
            }
            p {
                "Blow, and two things happen at once. Air slips past the tongue, and the breath leans on the tongue and \
                 pushes it towards its slot. Now the air itself comes into play. Moving air is heavy: it does not like to \
                 be stopped. When the tongue swings shut, the air runs on into it and pushes harder for a moment. When the \
                 tongue opens again, the air is slow to get going and pushes less. So each swing takes in a little more \
                 push than it gives back. If that little more beats what the metal and the air rub away, the swing grows, \
                 and the reed speaks."
            }
            p {
                "The gap decides how much air slips past before the swing has begun. So it decides two things a player \
                 feels: how little breath starts the reed, and how long the player waits."
            }
            (table(
                "This reed with its tip at other heights, all else the same",
                &["Gap", "Starts from", "Soft blow", "Firm blow", "Hard blow"],
                &self.tried.iter().map(row).collect::<Vec<_>>(),
            ))
            p.small {
                "Soft is " (pressure(blows.soft_pa)) ", firm " (pressure(blows.firm_pa)) ", hard "
                (pressure(blows.hard_pa)) ". The times are from the start of the blow until the swing has reached half its \
                 full size. The breath takes a hundredth of a second to rise."
            }
            p { (self.onset_sentence()) }
            p { (self.firm_sentence()) " " (self.hard_sentence()) }
        }
    }

    fn speaking(&self) -> Vec<(&Tried, f64)> {
        self.tried.iter().filter_map(|tried| Some((tried, tried.onset_pa?))).collect()
    }

    fn onset_trend(&self) -> Trend {
        trend_of_ratios(&self.speaking().iter().map(|(_, onset_pa)| *onset_pa).collect::<Vec<_>>())
    }

    /// What the table says of the pressure that starts the reed.
    fn onset_sentence(&self) -> String {
        let speaking = self.speaking();
        let (Some(&(first, least)), Some(&(last, most))) = (speaking.first(), speaking.last()) else {
            return format!(
                "With none of these gaps does this reed start, {}. The gap is not what keeps it silent.",
                at_any_pressure()
            );
        };
        let (closest, widest) = (gap(first.value), gap(last.value));
        let found = match self.onset_trend() {
            Trend::Rises => format!(
                "Look down the second column: the wider the gap, the more breath it takes to start this reed, from {} at \
                 {closest} to {} at {widest}.",
                pressure(least),
                pressure(most)
            ),
            Trend::Falls => format!(
                "Look down the second column: on this reed a wider gap needs less breath to start, from {} at {closest} \
                 down to {} at {widest}. On most reeds it is the other way round.",
                pressure(least),
                pressure(most)
            ),
            Trend::Dips(k) => format!(
                "Look down the second column: this reed starts most easily with a gap near {}, from {}. Closer than that, \
                 it wants more breath again, because hardly any air can slip past. Wider than that, it wants more too.",
                gap(speaking[k].0.value),
                pressure(speaking[k].1)
            ),
            Trend::Level => format!(
                "Look down the second column: on this reed the gap hardly changes the pressure that starts it; it stays \
                 near {}.",
                pressure(least)
            ),
            Trend::Unknown => format!("Of these gaps only {closest} lets it start, from {}.", pressure(least)),
            Trend::Peaks(_) | Trend::Mixed => format!(
                "Look down the second column: on this reed the pressure that starts it goes up and down with the gap; from \
                 {} at {closest}, it comes to {} at {widest}. There is no simple rule for this one.",
                pressure(least),
                pressure(most)
            ),
        };
        let silent: Vec<String> =
            self.tried.iter().filter(|tried| tried.onset_pa.is_none()).map(|tried| gap(tried.value)).collect();
        match silent.len() {
            0 => {
                let softest = speaking.iter().map(|(_, onset_pa)| *onset_pa).fold(f64::INFINITY, f64::min);
                format!("{found} For the feel of it: {} is {}.", pascal(softest), feel(softest))
            }
            _ => format!("{found} With {} it does not start at all.", list(&silent)),
        }
    }

    fn firm_sentence(&self) -> String {
        let soonest = soonest(&self.tried, Tried::firm);
        let Some((best, time_s)) = soonest else {
            return "Blown firmly, it speaks with none of these gaps.".to_owned();
        };
        let mine = match own(&self.tried) {
            Some(tried) if tried.value == best.value => " That is the gap it has.".to_owned(),
            Some(tried) => format!(" With the gap it has, {}.", answers(tried.firm().answer)),
            None => String::new(),
        };
        format!(
            "Blown firmly, it speaks soonest with a gap of {}: after {}, {}.{mine}",
            gap(best.value),
            answer(Answer::Speaks { t50_s: time_s }),
            wait(time_s)
        )
    }

    fn hard_sentence(&self) -> String {
        let (Some(close), Some((best, time_s))) = (self.tried.first(), soonest(&self.tried, Tried::hard)) else {
            return "Blown hard, it speaks with none of them.".to_owned();
        };
        let now = answer(Answer::Speaks { t50_s: time_s });
        match close.hard().answer {
            Answer::Speaks { t50_s } if t50_s < 1.5 * time_s => format!(
                "Blown hard, even the closest of these gaps serves: {}. The soonest is {} with {now}.",
                answers(close.hard().answer),
                gap(best.value)
            ),
            _ => format!(
                "Blown hard, the closest gap takes its revenge: with {}, {}, while {} gives {now}. A tip too close is \
                 pushed into its slot before it has learned to swing.",
                gap(close.value),
                answers(close.hard().answer),
                gap(best.value)
            ),
        }
    }

    fn answer(&self) -> String {
        let Some(mine) = own(&self.tried) else { return self.onset_sentence() };
        let speaking = self.speaking();
        let easiest = speaking.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1));
        let Some((best, least)) = easiest else {
            return format!(
                "Neither: {} Look at the slot edge and for leaks first.",
                decapital(&self.onset_sentence())
            );
        };
        let Some(now) = mine.onset_pa else {
            return format!(
                "As it is, this reed never starts. Of the gaps in the table {} starts most easily, from {}: bend it {} and \
                 try again.",
                gap(best.value),
                pressure(least),
                direction(best.value, mine.value)
            );
        };
        if now <= 1.02 * least {
            return format!(
                "Neither: no gap in the table starts it with noticeably less breath than the one it has, {}. Bending the tip \
                 gains nothing. Look for another cause: a leak, a valve that sticks, a slot edge too wide.",
                pressure(now)
            );
        }
        let step = neighbour(&self.tried, mine, best);
        let Some((there, onset_pa)) = step.and_then(|tried| Some((tried, tried.onset_pa?))) else {
            return format!(
                "Bend it {}: {} starts from {}.",
                direction(best.value, mine.value),
                gap(best.value),
                pressure(least)
            );
        };
        let change = match onset_pa / now {
            share if share < 1.0 => format!("{} % less breath", significant(100.0 * (1.0 - share), 2)),
            _ => "no less breath yet, but it is the way".to_owned(),
        };
        format!(
            "{}. At {} it would start from {} instead of {}: {change}. Watch the hard blow while you do it. As it is, {}; at {}, {}. \
             Small steps, and listen after each.",
            crate::units::capital(&format!("bend it {}", direction(best.value, mine.value))),
            gap(there.value),
            pressure(onset_pa),
            pressure(now),
            answers(mine.hard().answer),
            gap(there.value),
            answers(there.hard().answer)
        )
    }
}

fn over_its_slot(bench: &Bench<'_>) -> Figure {
    let mut view = bench_view(bench.name, bench.checked, &bench.model, bench.tuning);
    view.small_print.clear();
    Figure {
        svg: view.picture().to_svg(),
        caption: "The reed over its slot, from the side and across the tip. So that small things can be seen, not everything is \
                  drawn to one scale; the picture says which."
            .to_owned(),
    }
}

fn row(tried: &Tried) -> (bool, Vec<String>) {
    let mut cells = vec![gap(tried.value), maybe_pressure(tried.onset_pa)];
    cells.extend(tried.blown.iter().map(|blown| answer(blown.answer)));
    (tried.is_own, cells)
}

/// Five gaps about the own one, or about an ordinary one where the own is next to nothing (m), smallest first.
fn gaps(own_m: f64, length_m: f64) -> Vec<f64> {
    const SHARES: [f64; 5] = [0.4, 0.7, 1.0, 1.5, 2.0];
    /// An ordinary gap as a share of the length, and the least that counts as a gap.
    const ORDINARY: f64 = 0.02;
    const LEAST: f64 = 0.005;
    let hundredth = |gap_m: f64| (gap_m * 1e5).round() * 1e-5;
    let mut gaps: Vec<f64> = if own_m >= LEAST * length_m {
        SHARES.iter().map(|&share| if share == 1.0 { own_m } else { hundredth(share * own_m) }).collect()
    } else {
        let others = SHARES[1..].iter().map(|&share| hundredth(share * ORDINARY * length_m));
        std::iter::once(own_m).chain(others).collect()
    };
    gaps.sort_by(f64::total_cmp);
    gaps.dedup();
    gaps
}

/// A gap in sheets of paper, to picture it.
fn paper(gap_m: f64) -> String {
    const SHEET_M: f64 = 0.1e-3;
    match (gap_m / SHEET_M).round() {
        sheets if sheets >= 2.0 => format!(", about {sheets} sheets of printing paper"),
        sheets if sheets >= 1.0 => ", about one sheet of printing paper".to_owned(),
        _ => String::new(),
    }
}

fn soonest(tried: &[Tried], blown: fn(&Tried) -> &super::bench::Blown) -> Option<(&Tried, f64)> {
    let times = tried.iter().filter_map(|tried| Some((tried, blown(tried).answer.t50_s()?)));
    times.min_by(|a, b| a.1.total_cmp(&b.1))
}

fn direction(to_m: f64, from_m: f64) -> &'static str {
    if to_m < from_m { "closer" } else { "further away" }
}

/// The next gap in the table from `from` towards `to`.
fn neighbour<'a>(tried: &'a [Tried], from: &Tried, to: &Tried) -> Option<&'a Tried> {
    let place = tried.iter().position(|tried| tried.value == from.value)?;
    if to.value < from.value { tried[..place].last() } else { tried.get(place + 1) }
}
