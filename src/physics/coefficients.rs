//! The coefficients of the model, each with its source.

use std::f64::consts::PI;

/// Contraction of the jet through a sharp slit. Theory gives `pi/(pi+2) = 0.611` (Kirchhoff; H. Lamb, *Hydrodynamics*,
/// section 75).
pub const CONTRACTION: f64 = 0.61;

/// Creeping flow through a slit in a thin plate resists like plane Poiseuille flow along `kappa d`:
/// `12 mu kappa / d^2 = 32 mu / (pi d^2)` per unit of mean speed (R. Roscoe, Phil. Mag. 40 (1949) 338;
/// H. Hasimoto, J. Phys. Soc. Japan 13 (1958) 633).
pub const THIN_SLIT_LENGTH: f64 = 32.0 / (12.0 * PI);

/// Drag coefficient of a plate oscillating broadside at a Keulegan-Carpenter number of 4 to 6, from `8 KC^(-1/3)`
/// (J. M. R. Graham, J. Fluid Mech. 97 (1980) 331).
pub const DRAG: f64 = 5.0;

/// Factor on every inertance of the air. End corrections by theory give 1; the measured growth of an organ reed asks for 1.35
/// to 1.6 (Cottingham, Reed and Busha 1999), attack times of melodica and accordion for more than 1 (Llanos-Vazquez 2015);
/// both known second-hand.
pub const INERTANCE_FACTOR: f64 = 1.3;

/// End correction in units of the opening's radius, `8/(3 pi)` for a flanged end (Rayleigh, *Theory of Sound*,
/// section 312).
pub const END_CORRECTION: f64 = 0.85;

/// Share of the dynamic pressure lost where the channel opens into the chamber (Borda-Carnot, all of it).
pub const CHANNEL_LOSS: f64 = 1.0;

/// Where the stray leak turns from a square-root law to a smooth passage through zero (Pa).
pub const LEAK_SMOOTHING_PA: f64 = 1.0;

/// Version of the set of equations and coefficients, printed with every result.
pub const MODEL_VERSION: &str = "1";

/// Quality factor of a tongue whose loss nobody measured, the least known input: `Q = 100 sqrt(f/440 Hz)` at the plucked pitch
/// (the loss to the air along the tongue falls with the root of the frequency). Published: about 95 for a harmonica reed
/// (Millot and Baumann 2007), 200 to 400 for accordion reeds (Nussbaumer and Agarwal 2016), 650 for a harmonium reed (Puranik and
/// Scavone 2023).
///
/// ```
/// assert_eq!(freereed::physics::coefficients::usual_quality_factor(1760.0), 200.0);
/// ```
pub fn usual_quality_factor(frequency_hz: f64) -> f64 {
    100.0 * (frequency_hz / 440.0).sqrt()
}

/// The plausible range of a quality factor that was not measured, as shares of [`usual_quality_factor`].
pub const PLAUSIBLE_SHARES: (f64, f64) = (0.4, 4.0);
