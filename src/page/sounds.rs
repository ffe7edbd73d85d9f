//! The model's sound of a reed before and after a change, one after the other in one recording.

use super::attempt::{NoAttempt, changed};
use super::bench::Bench;
use super::reed::Subject;
use crate::physics::{ReedModel, sound};
use crate::print::wav::{SOUND_S, WAV_RATE_HZ, scale_to_peak, wav};
use crate::sheet::CheckedReed;

/// Silence between the two (s).
const BETWEEN_S: f64 = 0.4;
/// The peak beside that of a file that is written: somebody may have the headphones on.
pub(super) const QUIETER: f64 = 0.35;

/// Both as a WAV file: one scale for both, so that a difference in level is heard, and never loud.
///
/// # Errors
/// What is wrong with the change.
pub(super) fn sounds(bench: &Bench, id: &str, set: &[(String, String)]) -> Result<Vec<u8>, NoAttempt> {
    let subject = bench.look(|opened| Subject::find(opened, id)).ok_or(NoAttempt::NoSuchReed)?;
    let after = changed(&subject, set)?;
    let blow = subject.conditions.blow();
    let samples = |checked: &CheckedReed| {
        let model = ReedModel::new(checked.reed.clone()).expect("a checked reed can be solved");
        sound::waveform(&model, &model.followed(&blow, SOUND_S), 1.0, WAV_RATE_HZ)
    };
    let (first, second) = rayon::join(|| samples(&subject.checked), || samples(&after));
    let silence = vec![0.0; (BETWEEN_S * f64::from(WAV_RATE_HZ)) as usize];
    let both = [first, silence, second].concat();
    Ok(wav(&both, QUIETER * scale_to_peak(&both)))
}
