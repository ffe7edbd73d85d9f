//! Lesson: what the slot edge does.

use maud::{Markup, html};

use super::Figure;
use super::bench::{Bench, Tried, own};
use super::lesson::{Lesson, table};
use super::words::{
    Trend, air_flow, answer, answers, at_any_pressure, maybe_pressure, pressure, times, trend, trend_of_ratios,
};
use crate::study::changed::{side_clearance_m, with_clearance_scaled};
use crate::units::{decibel, metres, significant};

/// The reed with its slot wider and narrower.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeLesson {
    /// Clearance on each side at the tip, the mean of both (m).
    pub clearance_m: f64,
    /// On the left and on the right, where they differ (m).
    pub uneven_m: Option<(f64, f64)>,
    /// Each clearance and what it does, smallest first; the value is the clearance (m).
    pub tried: Vec<Tried>,
    /// The firm blow (Pa).
    pub firm_pa: f64,
    /// Pictures.
    pub figures: Vec<Figure>,
}

/// Thickness of a hair, to picture a clearance (m).
const HAIR_M: f64 = 70e-6;

impl EdgeLesson {
    pub(super) fn of(bench: &Bench<'_>) -> Self {
        const FACTORS: [f64; 4] = [0.5, 1.0, 1.5, 2.0];
        let reed = bench.reed();
        let clearance_m = side_clearance_m(reed);
        let at_tip = |profile: &crate::physics::Profile| profile.at(reed.beam.length_m);
        let (left, right) = (at_tip(&reed.slot.left_clearance_m), at_tip(&reed.slot.right_clearance_m));
        let reeds = FACTORS.map(|factor| (factor * clearance_m, with_clearance_scaled(reed, factor)));
        Self {
            clearance_m,
            uneven_m: ((left - right).abs() > 5e-7).then_some((left, right)),
            tried: bench.tried(clearance_m, reeds),
            firm_pa: bench.blows.firm_pa,
            figures: Vec::new(),
        }
    }

    pub(super) fn lesson(&self) -> Lesson<'_> {
        Lesson {
            title: "What the slot edge does",
            text: self.text(),
            figures: &self.figures,
            question: format!(
                "Two reeds are twins, but one slot was filed until it is twice as wide at the sides: {} instead of {}. Which \
                 twin starts with less breath, and by how much? Can you hear the other one coming?",
                metres(2.0 * self.clearance_m),
                metres(self.clearance_m)
            ),
            answer: self.answer(),
        }
    }

    fn text(&self) -> Markup {
        html! {
            p {
                "The tongue must pass through its slot without touching. The room between its edge and the slot's edge is \
                 the clearance. On this reed it is " b { (metres(self.clearance_m)) } " on each side at the tip"
                @if let Some((left, right)) = self.uneven_m {
                    " on average (" (metres(left)) " on the left, " (metres(right)) " on the right)"
                }
                ": " (hairs(self.clearance_m)) "."
            }
            p {
                "You hardly see so little, but the air finds it. Each time the tongue swings down to its slot it should \
                 shut the air off like a lid. A tight slot shuts well: the air is stopped sharply, pushes back, and the \
                 swing is well fed. A wide slot is a lid that leaks: part of the breath slips by and does no work."
            }
            (table(
                "This reed with other clearances, all else the same",
                &["Clearance", "Starts from", "Air that slips by", "Firm blow", "Loudness"],
                &self.tried.iter().map(row).collect::<Vec<_>>(),
            ))
            p.small {
                "The air that slips by is what passes before the tongue swings, under the firm blow of "
                (pressure(self.firm_pa)) ". The loudness is in decibel (dB) one metre away, under the same blow. Ten more \
                 decibel sound about twice as loud. Trust the order of these levels, less their size."
            }
            p { (self.onset_sentence()) }
            p { (self.flow_sentence()) " " (self.level_sentence()) }
            p {
                "One thing no table shows: a tongue that touches the slot buzzes or stops dead. Narrow is good; touching \
                 is not. Hold the plate against the light and look for an even line on both sides."
            }
        }
    }

    fn onset_sentence(&self) -> String {
        let speaking: Vec<(&Tried, f64)> = self.tried.iter().filter_map(|t| Some((t, t.onset_pa?))).collect();
        let (Some((tight, least)), Some((wide, most))) = (speaking.first(), speaking.last()) else {
            return format!("With none of these slots does this reed start, {}.", at_any_pressure());
        };
        let silent = self.tried.len() - speaking.len();
        let ends = format!(
            "from {} with {} to {} with {}",
            pressure(*least),
            metres(tight.value),
            pressure(*most),
            metres(wide.value)
        );
        let found = match trend_of_ratios(&speaking.iter().map(|(_, onset)| *onset).collect::<Vec<_>>()) {
            Trend::Rises => format!("The wider the slot, the more breath it takes to start this reed: {ends}."),
            Trend::Falls => {
                format!("Against the rule, this reed starts with less breath in a wider slot: {ends}.")
            }
            Trend::Level => {
                format!("On this reed the slot hardly changes the pressure that starts it; it goes {ends}.")
            }
            Trend::Dips(k) => format!(
                "This reed starts with least breath at a clearance of {}: {}. Narrower or wider, it takes more.",
                metres(speaking[k].0.value),
                pressure(speaking[k].1)
            ),
            Trend::Unknown => format!("It starts only with {}, from {}.", metres(tight.value), pressure(*least)),
            Trend::Peaks(_) | Trend::Mixed => {
                format!("On this reed the pressure that starts it goes up and down with the slot, {ends}.")
            }
        };
        match silent {
            0 => found,
            count => format!("{found} With {count} of the {} slots it never starts.", self.tried.len()),
        }
    }

    fn flow_sentence(&self) -> String {
        let flows: Vec<(f64, f64)> = self.tried.iter().filter_map(|t| Some((t.value, t.idle_flow_m3_s?))).collect();
        let (Some(first), Some(last)) = (flows.first(), flows.last()) else { return String::new() };
        match trend_of_ratios(&flows.iter().map(|flow| flow.1).collect::<Vec<_>>()) {
            Trend::Rises => format!(
                "The air that slips by grows from {} to {}: {} as much.",
                air_flow(first.1),
                air_flow(last.1),
                times(last.1 / first.1)
            ),
            _ => format!("The air that slips by goes from {} to {}.", air_flow(first.1), air_flow(last.1)),
        }
    }

    fn level_sentence(&self) -> String {
        let levels: Vec<f64> = self.tried.iter().filter_map(|t| Some(t.firm().steady?.level.db)).collect();
        let (Some(first), Some(last)) = (levels.first(), levels.last()) else { return String::new() };
        let change = significant((last - first).abs(), 2);
        match trend(&levels, 0.3) {
            Trend::Falls => format!("The tone grows weaker by {change} dB from the tightest slot to the widest."),
            Trend::Rises => format!("The tone grows louder by {change} dB from the tightest slot to the widest."),
            Trend::Level => {
                "The loudness of the full swing hardly changes: what the slot takes is the soft start, not the \
                             strength."
                    .to_owned()
            }
            _ => format!(
                "The loudness does not follow the slot in a simple way; it ends {change} dB from where it began."
            ),
        }
    }

    fn answer(&self) -> String {
        let twin = self.tried.iter().find(|tried| tried.value == 2.0 * self.clearance_m);
        let (Some(mine), Some(twin)) = (own(&self.tried), twin) else { return self.onset_sentence() };
        let compare = match (mine.onset_pa, twin.onset_pa) {
            (None, None) => "Neither starts at any pressure.".to_owned(),
            (Some(mine), None) => {
                format!("Only the narrow one starts, from {}. The wide one never does.", pressure(mine))
            }
            (None, Some(twin)) => format!("Against the rule, only the wide one starts, from {}.", pressure(twin)),
            (Some(mine), Some(twin)) if (twin / mine - 1.0).abs() < 0.02 => {
                format!("They start alike: from {} and {}.", pressure(mine), pressure(twin))
            }
            (Some(mine), Some(twin)) => format!(
                "The {} one: it starts from {}, its twin from {}.",
                if mine < twin { "narrow" } else { "wide" },
                pressure(mine.min(twin)),
                pressure(mine.max(twin))
            ),
        };
        format!(
            "{compare} Under the firm blow the narrow one: {}; the wide one: {}. Before the tone there is a hiss of air, and the \
             twin that lets more slip by hisses more.",
            answers(mine.firm().answer),
            answers(twin.firm().answer)
        )
    }
}

fn row(tried: &Tried) -> (bool, Vec<String>) {
    let level = tried.firm().steady.map_or("none".to_owned(), |steady| decibel(steady.level.db));
    let slips = tried.idle_flow_m3_s.map_or("shut".to_owned(), air_flow);
    let cells = vec![metres(tried.value), maybe_pressure(tried.onset_pa), slips, answer(tried.firm().answer), level];
    (tried.is_own, cells)
}

fn hairs(clearance_m: f64) -> String {
    match clearance_m / HAIR_M {
        share if share < 0.3 => "about a quarter of a hair, or less".to_owned(),
        share if share < 0.42 => "about a third of a hair".to_owned(),
        share if share < 0.6 => "about half a hair".to_owned(),
        share if share < 1.3 => "about as thick as a hair".to_owned(),
        share => format!("some {} hairs side by side", significant(share, 2)),
    }
}
