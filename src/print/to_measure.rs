//! What a set leans on that a maker can measure, and which of it would tell most.

use crate::instrument::{Assessment, Figure, ReedAssessment, Tool};
use crate::sheet::Job;
use crate::sheet::keys::find;

/// Something that is assumed and can be measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unknown {
    /// The pressures the player plays with.
    Pressures,
    /// The time a note is given to speak.
    Time,
    /// The air behind the reeds.
    Chamber,
    /// The loss of the tongues.
    Loss,
    /// The weight at the tips.
    Weight,
    /// Stray leaks.
    Leak,
}

impl Unknown {
    /// What is asked of the reeds, and what is assumed of chamber and loss: what may make a whole set fail.
    pub const OF_THE_SET: [Self; 4] = [Self::Pressures, Self::Time, Self::Chamber, Self::Loss];
    /// What is asked of the reeds.
    const ASKED: [Self; 2] = [Self::Pressures, Self::Time];
    /// What is assumed of the reeds.
    const OF_REEDS: [Self; 4] = [Self::Chamber, Self::Loss, Self::Weight, Self::Leak];

    /// What to measure: part of a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Self::Pressures => "the player's pressures with a water gauge",
            Self::Time => "how quick the music is",
            Self::Chamber => "a chamber and its channel",
            Self::Loss => "the ring-down of a few reeds",
            Self::Weight => "the closing force of a few reeds without one, the lowest first (closing_force_g)",
            Self::Leak => "the leak of a few reeds (seal leak)",
        }
    }

    /// How to measure it, as the key table says it; nothing of what the player does.
    pub fn how(self) -> Option<&'static str> {
        let key = match self {
            Self::Pressures | Self::Time => return None,
            Self::Chamber => "volume_mm3",
            Self::Loss => "ring_down_s",
            Self::Weight => "closing_force_g",
            Self::Leak => "leak_mm2",
        };
        find(key).map(|key| key.measure).filter(|measure| !measure.is_empty())
    }

    /// Whether it is assumed, of the player or of any reed.
    pub fn is_assumed(self, job: &Job, assessment: &Assessment) -> bool {
        let of_player = |names: &[&str]| {
            let named = |key: &str| names.iter().any(|name| key.strip_prefix("player.") == Some(name));
            job.assumed.iter().any(|assumed| named(&assumed.key))
        };
        match self {
            Self::Pressures => of_player(&["soft_pa", "normal_pa", "hard_pa"]),
            Self::Time => of_player(&["time_allowed_ms"]),
            _ => assessment.good_rows().any(|reed| self.is_assumed_of(reed)),
        }
    }

    /// The one or two that would tell most: what is asked of the reeds, which decides on all of them, and then what adds
    /// most to the doubt in their figures.
    pub fn next(job: &Job, assessment: &Assessment) -> Vec<Self> {
        let assumed = |unknown: &Self| unknown.is_assumed(job, assessment);
        let mut of_reeds: Vec<Self> = Self::OF_REEDS.into_iter().filter(assumed).collect();
        of_reeds.sort_by(|a, b| b.doubt(assessment).total_cmp(&a.doubt(assessment)));
        Self::ASKED.into_iter().filter(assumed).take(1).chain(of_reeds).take(2).collect()
    }

    /// The inputs it stands for, the one that tells whether it was measured first, with the tool that is off by them.
    fn inputs(self) -> &'static [(&'static str, Tool)] {
        match self {
            Self::Pressures | Self::Time => &[],
            Self::Chamber => &[
                ("volume_mm3", Tool::ChamberVolume),
                ("channel_length_mm", Tool::ChannelLength),
                ("channel_area_mm2", Tool::ChannelArea),
            ],
            Self::Loss => &[("quality_factor", Tool::Clamp)],
            Self::Weight => &[("tip_weight_share", Tool::Weight)],
            Self::Leak => &[("leak_mm2", Tool::Leak)],
        }
    }

    fn is_assumed_of(self, reed: &ReedAssessment) -> bool {
        // From the force that closes a reed the weight at its tip is found.
        let checked = &reed.reed.checked;
        let weighed = ["closing_force_g", "stiffness_n_m"].iter().any(|key| checked.spec.typed(key).is_some());
        if self == Self::Weight && weighed {
            return false;
        }
        self.inputs().first().is_some_and(|(key, _)| checked.assumed.iter().any(|it| it.key.contains(key)))
    }

    /// Its share of the variance of the softest pressure, the hardest and the time at normal, summed over the reeds that
    /// assume it. What the reeds have in common is known by its tool, `V_tool`; with that share `c` of the variance in
    /// common the whole is `V_tool/c`.
    fn doubt(self, assessment: &Assessment) -> f64 {
        let of_input = |reed: &ReedAssessment, figure: Figure, (key, tool): (&str, Tool)| {
            let known = reed.uncertainties.get(figure);
            let common = find(key).and_then(|key| key.spread).map_or(1.0, |spread| spread.common);
            let whole = known.deviation().powi(2);
            if whole > 0.0 { known.by_tool[tool as usize].powi(2) / common / whole } else { 0.0 }
        };
        let of_reed = |reed: &ReedAssessment| -> f64 {
            let figures = [Figure::Low, Figure::High, Figure::Time].into_iter();
            figures.flat_map(|figure| self.inputs().iter().map(move |input| of_input(reed, figure, *input))).sum()
        };
        assessment.good_rows().filter(|reed| self.is_assumed_of(reed)).map(of_reed).sum()
    }
}
