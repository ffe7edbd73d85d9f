//! Lesson: why high reeds are harder.

use maud::{Markup, html};

use super::Figure;
use super::bench::{Bench, Tried, own};
use super::lesson::{Lesson, table};
use super::words::{
    Trend, answer, answers, at_any_pressure, gap, list, maybe_pressure, pitch, pressure, small_length, starts, times,
    trend_of_ratios,
};
use crate::sheet::Tuning;
use crate::study::changed::{tip_gap_m, with_length_scaled, with_tip_gap};
use crate::units::{metres, significant};

/// The same tongue long and short.
#[derive(Debug, Clone, PartialEq)]
pub struct HeightLesson {
    /// Each length and what it does, longest first; the value is the length (m).
    pub tried: Vec<Tried>,
    /// How far uniform pressure bends the tip of each (m/Pa), in the same order.
    pub compliance_m_pa: Vec<f64>,
    /// Pitch of the air in chamber and channel by itself (Hz).
    pub chamber_hz: f64,
    /// Whether the reed has a chamber.
    pub has_chamber: bool,
    /// The shortest tongue with its gap halved; the value is that gap (m).
    pub closer: Option<Tried>,
    /// Gap of the shortest tongue (m).
    pub shortest_gap_m: f64,
    /// The firm blow (Pa).
    pub firm_pa: f64,
    /// Pictures.
    pub figures: Vec<Figure>,
}

/// Pitches of the family as multiples of the reed's own.
const PITCHES: [f64; 4] = [0.5, 1.0, 2.0, 3.0];

impl HeightLesson {
    pub(super) fn of(bench: &Bench<'_>) -> Self {
        let reed = bench.reed();
        // Pitch goes with one over the length squared.
        let scaled = |pitch: f64| with_length_scaled(reed, pitch.powf(-0.5));
        let family = PITCHES.map(|pitch| (pitch.powf(-0.5) * reed.beam.length_m, scaled(pitch)));
        let shortest = scaled(PITCHES[PITCHES.len() - 1]);
        let shortest_gap_m = tip_gap_m(&shortest);
        let closer = (shortest_gap_m > 0.0).then(|| {
            let half = 0.5 * shortest_gap_m;
            bench.tried(f64::NAN, [(half, with_tip_gap(&shortest, half))]).pop()
        });
        Self {
            compliance_m_pa: family.iter().map(|(_, reed)| reed.beam.compliance_m_pa()).collect(),
            tried: bench.tried(reed.beam.length_m, family),
            chamber_hz: bench.model.chamber_resonance_hz(),
            has_chamber: reed.chamber.is_some(),
            closer: closer.flatten(),
            shortest_gap_m,
            firm_pa: bench.blows.firm_pa,
            figures: Vec::new(),
        }
    }

    pub(super) fn lesson(&self, tuning: &Tuning) -> Lesson<'_> {
        let air = match self.has_chamber {
            true => format!("The air of this chamber has a pitch of its own: {}. ", pitch(self.chamber_hz, tuning)),
            false => String::new(),
        };
        Lesson {
            title: "Why high reeds are harder",
            text: self.text(tuning),
            figures: &self.figures,
            question: format!(
                "{air}You must put the shortest tongue of the table in the place of this one. Will it start with more breath or \
                 less, and what could you do to its gap?"
            ),
            answer: self.answer(),
        }
    }

    fn text(&self, tuning: &Tuning) -> Markup {
        let rows: Vec<_> =
            self.tried.iter().zip(&self.compliance_m_pa).map(|(tried, bend)| row(tried, *bend, tuning)).collect();
        html! {
            p {
                "Every maker knows it: the low reeds almost start by themselves, and the top ones cost sweat. To see why, \
                 take this very tongue and make it longer and shorter. Its metal, thickness, width, slot edge and chamber \
                 stay; the gap goes in step with the length."
            }
            (table(
                "The same tongue, long and short",
                &["Length", "Plucked pitch", "Tip gives way", "Starts from", "Firm blow"],
                &rows,
            ))
            p.small {
                "“Gives way” is how far a steady push of 100 Pa (10 mm of water) on the whole tongue moves its tip. The firm \
                 blow is " (pressure(self.firm_pa)) "."
            }
            p {
                (self.stiffness_sentence()) " A tongue that hardly gives way hardly changes the stream of air, so there is \
                 little for the swing to feed on."
            }
            p { (self.chamber_sentence(tuning)) }
            p { (self.onset_sentence()) }
        }
    }

    fn stiffness_sentence(&self) -> String {
        let (Some(longest), Some(shortest)) = (self.compliance_m_pa.first(), self.compliance_m_pa.last()) else {
            return String::new();
        };
        format!(
            "The first reason is stiffness. The same push moves the longest tip {} as far as the shortest.",
            times(longest / shortest)
        )
    }

    fn chamber_sentence(&self, tuning: &Tuning) -> String {
        let own_air = if self.has_chamber {
            "The second reason is the air behind the reed. Like a bottle you blow across, chamber and channel have a pitch of \
             their own"
        } else {
            "The second reason is the air by the reed. This one stands on a windchest, so only the air in its slot counts. Like \
             a very small bottle, it has a pitch of its own"
        };
        let above: Vec<String> = self
            .tried
            .iter()
            .filter(|tried| tried.pluck_hz > 0.8 * self.chamber_hz)
            .map(|tried| metres(tried.value))
            .collect();
        let reach = match above.len() {
            0 => "All tongues in the table stay well below it; here stiffness is the greater part of the story."
                .to_owned(),
            count if count == self.tried.len() => "All tongues in the table come near it or pass it.".to_owned(),
            1 => format!("The tongue of {} comes near it or passes it.", list(&above)),
            _ => format!("The tongues of {} come near it or pass it.", list(&above)),
        };
        format!(
            "{own_air}; here it is {}. Well below that pitch the air acts as a weight that runs on, and that is what feeds the \
             swing. Near it and above, the air acts as a spring, and a spring gives its push at the wrong moment. {reach}",
            pitch(self.chamber_hz, tuning)
        )
    }

    fn onset_sentence(&self) -> String {
        let speaking: Vec<(&Tried, f64)> = self.tried.iter().filter_map(|t| Some((t, t.onset_pa?))).collect();
        let (Some((low, least)), Some((high, most))) = (speaking.first(), speaking.last()) else {
            return format!("None of these tongues starts, {}.", at_any_pressure());
        };
        let ends = format!(
            "from {} for the tongue of {} to {} for the one of {}",
            pressure(*least),
            metres(low.value),
            pressure(*most),
            metres(high.value)
        );
        let found = match trend_of_ratios(&speaking.iter().map(|(_, onset)| *onset).collect::<Vec<_>>()) {
            Trend::Rises => format!("Both together make the breath that starts it climb with the pitch: {ends}."),
            Trend::Falls => {
                format!("In this family, against the rule, the breath that starts it falls with the pitch: {ends}.")
            }
            Trend::Level => format!("In this family the breath that starts it hardly changes: {ends}."),
            Trend::Unknown => format!("Only the tongue of {} starts, from {}.", metres(low.value), pressure(*least)),
            Trend::Dips(_) | Trend::Peaks(_) | Trend::Mixed => {
                format!(
                    "In this family the breath that starts it does not simply climb with the pitch; it goes {ends}."
                )
            }
        };
        let never: Vec<String> =
            self.tried.iter().filter(|tried| tried.onset_pa.is_none()).map(|tried| metres(tried.value)).collect();
        if never.is_empty() { found } else { format!("{found} At {} it never starts.", list(&never)) }
    }

    fn answer(&self) -> String {
        let (Some(mine), Some(high)) = (own(&self.tried), self.tried.last()) else { return self.onset_sentence() };
        let compare = match (mine.onset_pa, high.onset_pa) {
            (None, None) => "Neither starts at any pressure. Where a reed does not speak at its own length, another length is no cure: \
                             find out first what keeps it silent."
                .to_owned(),
            (Some(mine), None) => format!("It never starts there; this reed starts from {}.", pressure(mine)),
            (None, Some(high)) => format!("It starts from {}; this reed, as it is, never does.", pressure(high)),
            (Some(mine), Some(high)) => {
                let more = if high > mine { "More" } else { "Less" };
                format!("{more}: {} against {}, {} the breath.", pressure(high), pressure(mine), times(high / mine))
            }
        };
        let Some(closer) = &self.closer else { return compare };
        let (before, after) = (high.onset_pa, closer.onset_pa);
        let verdict = match (before, after) {
            (Some(before), Some(after)) if after < 0.98 * before => "a closer gap helps",
            (Some(before), Some(after)) if after > 1.02 * before => "a closer gap makes it worse",
            (None, Some(_)) => "a closer gap brings it to life",
            (Some(_), None) => "a closer gap silences it",
            _ => "a closer gap changes nothing",
        };
        let chamber = match self.has_chamber {
            true => {
                " A larger chamber lowers the pitch of its air, a smaller one raises it; where you can choose, keep that pitch \
                 well above the reed's."
            }
            false => "",
        };
        format!(
            "{compare} As for the gap, {verdict}: with {} instead of {} it {}. Blown firmly, {} then.{chamber}",
            gap(closer.value),
            gap(self.shortest_gap_m),
            starts(closer.onset_pa),
            answers(closer.firm().answer)
        )
    }
}

fn row(tried: &Tried, compliance_m_pa: f64, tuning: &Tuning) -> (bool, Vec<String>) {
    const PUSH_PA: f64 = 100.0;
    let bend = small_length(PUSH_PA * compliance_m_pa);
    let length = format!("{} mm", significant(1e3 * tried.value, 3));
    let cells =
        vec![length, pitch(tried.pluck_hz, tuning), bend, maybe_pressure(tried.onset_pa), answer(tried.firm().answer)];
    (tried.is_own, cells)
}
