//! The reed as measured: metal, shape, slot, chamber and air, in SI units.

use super::air::Air;
use super::beam::Beam;
use super::coefficients::{CONTRACTION, DRAG, INERTANCE_FACTOR};
use super::input::{InputError, not_negative, positive};
use super::profile::Profile;
use super::rest::RestShape;

/// The slot in the plate around the reed.
#[derive(Debug, Clone, PartialEq)]
pub struct Slot {
    /// From the reed's left edge to the slot's wall, along the reed (m).
    pub left_clearance_m: Profile,
    /// From the reed's right edge to the slot's wall, along the reed (m).
    pub right_clearance_m: Profile,
    /// From the reed's tip to the slot's end wall (m).
    pub tip_clearance_m: f64,
    /// Thickness of the plate (m).
    pub plate_thickness_m: f64,
    /// Effective area of stray leaks beside the reed: plate, valve, comb (m2).
    pub leak_area_m2: f64,
}

/// The chamber behind the reed and the channel that feeds it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chamber {
    /// Air volume behind the reed, the slot not counted (m3).
    pub volume_m3: f64,
    /// Length of the channel from the mouth to the chamber (m).
    pub channel_length_m: f64,
    /// Cross-section of the channel (m2).
    pub channel_area_m2: f64,
    /// Perimeter of the channel's cross-section (m); none is that of a circle, `2 sqrt(pi S_c)`.
    pub channel_perimeter_m: Option<f64>,
}

/// A player in front of the channel: lungs behind a resistance, feeding a mouth cavity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Player {
    /// Resistance between lungs and mouth (Pa s/m3); plausible 2e6.
    pub lung_resistance_pa_s_m3: f64,
    /// Volume of the mouth cavity (m3); plausible 80e-6.
    pub mouth_volume_m3: f64,
}

/// What nobody measures at a bench and all reeds of an instrument share: the doubtful coefficients of the model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coefficients {
    /// Factor `mu_M` on every inertance of the air; plausible 0.9 to 1.8.
    pub inertance_factor: f64,
    /// Contraction `alpha` of the jet through a sharp slit; plausible 0.58 to 0.75.
    pub contraction: f64,
    /// Drag coefficient `C_d` of the tongue moving broadside through still air; plausible 3 to 8.5.
    pub drag: f64,
}

impl Default for Coefficients {
    fn default() -> Self {
        Self { inertance_factor: INERTANCE_FACTOR, contraction: CONTRACTION, drag: DRAG }
    }
}

/// One reed in its place: everything the model needs, in SI units.
#[derive(Debug, Clone, PartialEq)]
pub struct Reed {
    /// The tongue as a beam.
    pub beam: Beam,
    /// Quality factor of every mode, `Q = pi f tau`; the damping ratio is `1/(2Q)`.
    pub quality_factor: f64,
    /// Height of the reed's underside above the plate at rest.
    pub rest: RestShape,
    /// The slot around it.
    pub slot: Slot,
    /// The chamber behind it; none is a large windchest.
    pub chamber: Option<Chamber>,
    /// The air that passes it.
    pub air: Air,
    /// The player in front of it; none prescribes the mouth pressure.
    pub player: Option<Player>,
    /// The model's own doubtful coefficients.
    pub coefficients: Coefficients,
}

impl Reed {
    /// Checks that the equations have a meaning for these values.
    ///
    /// # Errors
    /// The first quantity that is not finite or not in its mathematical range.
    pub fn check(&self) -> Result<(), InputError> {
        self.beam.check()?;
        self.air.check()?;
        self.rest.check(self.beam.length_m)?;
        positive("quality factor", self.quality_factor)?;
        positive("left clearance (m)", self.slot.left_clearance_m.range().0)?;
        positive("right clearance (m)", self.slot.right_clearance_m.range().0)?;
        positive("tip clearance (m)", self.slot.tip_clearance_m)?;
        positive("plate thickness (m)", self.slot.plate_thickness_m)?;
        not_negative("leak area (m2)", self.slot.leak_area_m2)?;
        positive("inertance factor", self.coefficients.inertance_factor)?;
        positive("contraction", self.coefficients.contraction)?;
        not_negative("drag coefficient", self.coefficients.drag)?;
        if let Some(chamber) = &self.chamber {
            positive("chamber volume (m3)", chamber.volume_m3)?;
            positive("channel length (m)", chamber.channel_length_m)?;
            positive("channel area (m2)", chamber.channel_area_m2)?;
            chamber.channel_perimeter_m.map_or(Ok(()), |perimeter| positive("channel perimeter (m)", perimeter))?;
        }
        if let Some(player) = &self.player {
            positive("lung resistance (Pa s/m3)", player.lung_resistance_pa_s_m3)?;
            positive("mouth volume (m3)", player.mouth_volume_m3)?;
        }
        Ok(())
    }
}
