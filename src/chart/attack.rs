//! How one reed starts: the tip's motion, its growth, and what it settles to.

mod draw;
mod run;

use super::LARGEST;
use super::Picture;
use super::tone::Tone;
pub use crate::physics::attack::Ending;

/// One reed blown from rest.
///
/// Long runs are drawn as a band between the highest and the lowest tip.
#[derive(Debug, Clone, PartialEq)]
pub struct AttackChart {
    /// The reed, as the reader knows it.
    pub reed_name: String,
    /// The pressure it is blown to (Pa).
    pub pressure_pa: f64,
    /// How the run ended.
    pub ending: Ending,
    /// Whether the reed speaks.
    pub speaks: bool,
    /// Length of the whole run, of which the chart may show the beginning (s).
    pub run_s: f64,
    /// Time to half the final speed of the tip (s).
    pub t50_s: Option<f64>,
    /// Time to nine tenths of it (s).
    pub t90_s: Option<f64>,
    /// The final speed of the tip, half of peak to peak (m/s).
    pub final_speed_m_s: Option<f64>,
    /// What sounds at the end.
    pub sounding: Option<Tone>,
    /// Height of the tip above the plate at rest (m).
    pub rest_m: f64,
    /// Length of one swing (s): a band is drawn no finer.
    pub swing_s: f64,
    /// Times (s) and mouth pressures (Pa).
    pub mouth: Vec<(f64, f64)>,
    /// Times (s) and heights of the tip above the plate (m), close enough together to be joined by straight lines.
    pub tip: Vec<(f64, f64)>,
    /// Times (s) and the envelope of the tip's speed (m/s).
    pub envelope: Vec<(f64, f64)>,
    /// Times (s) and heights of the tip (m) over a few swings at the end of the run.
    pub last_swings: Vec<(f64, f64)>,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl AttackChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        draw::Drawing { chart: self }.picture()
    }

    /// What came of it, as a title.
    fn verdict(&self) -> String {
        let run = crate::units::seconds(self.run_s);
        let half = self.t50_s.filter(|time_s| (0.0..=LARGEST).contains(time_s)).map(crate::units::seconds);
        let most = self.t90_s.filter(|time_s| (0.0..=LARGEST).contains(time_s)).map(crate::units::seconds);
        match (self.speaks, self.ending, half, most) {
            (_, Ending::TooStiff, ..) => format!("Given up after {run}: this reed is beyond what a run can follow"),
            (true, Ending::Settled, Some(half), Some(most)) => {
                format!("Speaks: half its final speed after {half}, nine tenths after {most}")
            }
            (true, Ending::Settled, ..) => "Speaks".to_owned(),
            (true, _, Some(half), _) => format!("Speaks, nearly settled in {run}: half its speed after about {half}"),
            (true, ..) => format!("Did not settle in {run}: it was still changing"),
            (false, Ending::NotSettled, ..) => format!("Has not spoken in {run}"),
            (false, ..) => "Does not speak at this pressure".to_owned(),
        }
    }
}
