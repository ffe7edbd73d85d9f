//! Lesson: how one measurement sharpens the prediction.

use std::f64::consts::PI;

use maud::{Markup, html};
use rayon::prelude::*;

use super::Figure;
use super::bench::{Answer, Bench, answer_of, attack};
use super::lesson::{Lesson, table};
use super::words::{answer, answers, maybe_pressure, pascal, pressure, starts, times};
use crate::physics::coefficients::{PLAUSIBLE_SHARES, usual_quality_factor};
use crate::physics::onset::Search;
use crate::predict::plausible_quality_factor;
use crate::sheet::Measured;
use crate::units::{seconds, significant};

/// The reed with one amount of loss.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WithLoss {
    /// Quality factor: how many swings it rings, times pi, before it is down to a third.
    pub quality_factor: f64,
    /// Time of the plucked swing to fall to 37 % (s).
    pub ring_down_s: f64,
    /// Least pressure that starts it (Pa).
    pub onset_pa: Option<f64>,
    /// The answer to the soft blow.
    pub soft: Answer,
}

/// The reed with little loss and with much.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuringLesson {
    /// Plucked pitch (Hz).
    pub pluck_hz: f64,
    /// Least loss first; the own one is among them.
    pub losses: Vec<WithLoss>,
    /// The quality factor it is computed with.
    pub own_quality_factor: f64,
    /// Whether that was measured.
    pub is_measured: bool,
    /// What was measured besides.
    pub measured: Measured,
    /// The soft blow (Pa).
    pub soft_pa: f64,
    /// Pictures.
    pub figures: Vec<Figure>,
}

/// Fall of a swing in one ring-down time: 1/e.
const FALL_PERCENT: u32 = 37;
/// How well a ring-down is measured from a recording, as a share.
const RING_DOWN_SHARE: f64 = 0.1;

impl MeasuringLesson {
    pub(super) fn of(bench: &Bench<'_>) -> Self {
        let own = bench.reed().quality_factor;
        let pluck_hz = bench.model.modes()[0].frequency_hz;
        let (most_loss, least_loss) = plausible_quality_factor(pluck_hz);
        let mut qualities = vec![most_loss, usual_quality_factor(pluck_hz), least_loss];
        qualities.retain(|quality| (quality / own - 1.0).abs() > RING_DOWN_SHARE);
        qualities.extend([own, own * (1.0 + RING_DOWN_SHARE), own * (1.0 - RING_DOWN_SHARE)]);
        qualities.sort_by(|a, b| b.total_cmp(a));
        let with_loss = |&quality_factor: &f64| {
            let model = bench.model.with_quality_factor(quality_factor);
            WithLoss {
                quality_factor,
                ring_down_s: quality_factor / (PI * pluck_hz),
                onset_pa: model.speaking(&Search::default()).onset.map(|onset| onset.pressure_pa),
                soft: answer_of(&attack(&model, bench.blows.soft_pa)),
            }
        };
        Self {
            pluck_hz,
            losses: qualities.par_iter().map(with_loss).collect(),
            own_quality_factor: own,
            is_measured: bench.checked.assumed.iter().all(|assumed| assumed.key != "quality_factor"),
            measured: bench.checked.measured,
            soft_pa: bench.blows.soft_pa,
            figures: Vec::new(),
        }
    }

    pub(super) fn lesson(&self) -> Lesson<'_> {
        Lesson {
            title: "How one measurement sharpens the numbers",
            text: self.text(),
            figures: &self.figures,
            question: format!(
                "You pluck this reed ({} swings a second), record it, and find that the swing has fallen to {FALL_PERCENT} % after \
                 {}. Which row of the table is yours, and from which pressure will it start?",
                significant(self.pluck_hz, 3),
                seconds(self.asked().ring_down_s)
            ),
            answer: self.answer(),
        }
    }

    fn text(&self) -> Markup {
        html! {
            p {
                "Length, width, gap and slot can be measured. One thing cannot be seen: how quickly the tongue loses its swing \
                 to the metal, the rivet and the air. Of two reeds that look the same one may ring " (times(PLAUSIBLE_SHARES.1 / PLAUSIBLE_SHARES.0)) " as \
                 long as the other. It is the least known of all the numbers, and the one most worth measuring."
            }
            p {
                "There is a simple way. Pluck the tongue, with a telephone close by that records. Look at the recording in any \
                 sound editor: the swing dies away like the sound of a bell. Read off how long it takes to fall to "
                (FALL_PERCENT) " % of where it was, a bit more than a third. That time is the " b { "ring-down" } "."
            }
            (table(
                "This reed, if it lost little or much",
                &["Ring-down", "Starts from", "Soft blow"],
                &self.losses.iter().map(|loss| self.row(loss)).collect::<Vec<_>>(),
            ))
            p.small { "The soft blow is " (pressure(self.soft_pa)) "." }
            p { (self.spread_sentence()) }
            p { (self.known_sentence()) }
            p {
                "The other good measurement needs a water gauge: a clear tube bent to a U, half full of water, joined to the \
                 mouthpiece. Blow more and more gently and find the least pressure that still starts the reed. The difference \
                 between the two water levels, in millimetres, is your softest blow. " (self.softest_sentence())
            }
        }
    }

    /// The rows nobody would doubt: plausible losses (least, most).
    fn plausible(&self) -> Vec<&WithLoss> {
        let (low, high) = plausible_quality_factor(self.pluck_hz);
        self.losses
            .iter()
            .filter(|loss| loss.quality_factor >= 0.999 * low && loss.quality_factor <= 1.001 * high)
            .collect()
    }

    /// The rows that a measured ring-down leaves.
    fn near(&self) -> Vec<&WithLoss> {
        let near =
            |loss: &&WithLoss| (loss.quality_factor / self.own_quality_factor - 1.0).abs() < 1.01 * RING_DOWN_SHARE;
        self.losses.iter().filter(near).collect()
    }

    fn own(&self) -> Option<&WithLoss> {
        self.losses.iter().find(|loss| loss.quality_factor == self.own_quality_factor)
    }

    fn spread_sentence(&self) -> String {
        match spread(&self.plausible()) {
            Some((least, most)) if most / least > 1.02 => format!(
                "As long as nobody has measured the loss, the pressure that starts this reed may be anything from {} to {}: the \
                 second is {} the first.",
                pressure(least),
                pressure(most),
                times(most / least)
            ),
            Some((least, _)) => {
                format!("On this reed the loss hardly matters for the start: it stays near {}.", pressure(least))
            }
            None if self.plausible().iter().all(|loss| loss.onset_pa.is_none()) => {
                "For this reed it makes no difference: with little loss or much, it never starts.".to_owned()
            }
            None => "With the loss unknown, it is not even sure whether this reed starts at all: some rows of the table say \
                     “never”."
                .to_owned(),
        }
    }

    fn known_sentence(&self) -> String {
        let ring_down = self.own().map_or(String::new(), |own| seconds(own.ring_down_s));
        let near = match spread(&self.near()) {
            Some((least, most)) => {
                format!("If that is right to a tenth, it starts from {} to {}.", pascal(least), pascal(most))
            }
            None if self.near().iter().all(|loss| loss.onset_pa.is_none()) => String::new(),
            None => "Even if that is right to a tenth, it is not sure whether it starts.".to_owned(),
        };
        if self.is_measured {
            format!("On this reed the loss is known: a ring-down of {ring_down}. {near}")
        } else {
            format!(
                "On this reed nobody has measured it; a middling loss is assumed, a ring-down of {ring_down}. Suppose it were \
                 measured. {near}"
            )
        }
    }

    fn softest_sentence(&self) -> String {
        match (self.measured.softest_blow_pa, self.own().and_then(|own| own.onset_pa)) {
            (Some(measured), Some(computed)) => format!(
                "On this reed it was measured: {}. Computed is {}, {} % {}.",
                pressure(measured),
                pressure(computed),
                significant(100.0 * (computed / measured - 1.0).abs(), 2),
                if computed < measured { "less" } else { "more" }
            ),
            (Some(measured), None) => format!(
                "On this reed it was measured: {}. The computation says that it never starts, so some other number it was given \
                 must be wrong.",
                pressure(measured)
            ),
            (None, _) => "If it does not agree with this booklet, believe the reed, and look for what is different: a leak, a wider \
                          slot, more loss."
                .to_owned(),
        }
    }

    /// What a reader may have found: the lossiest believable row, where that is not the one computed with.
    fn asked(&self) -> &WithLoss {
        let least = plausible_quality_factor(self.pluck_hz).0;
        let others = self.losses.iter().rev().filter(|loss| loss.quality_factor >= 0.999 * least);
        others
            .clone()
            .find(|loss| (loss.quality_factor / self.own_quality_factor - 1.0).abs() > RING_DOWN_SHARE)
            .unwrap_or(&self.losses[0])
    }

    fn answer(&self) -> String {
        let found = self.asked();
        format!(
            "The row with a ring-down of {}: the reed {}, and blown softly {}. Computed with {} it {}. So much hangs on one \
             measurement. Those who like numbers multiply pitch, time and 3.14: that makes {}, which workers in sound call the \
             quality factor, or Q.",
            seconds(found.ring_down_s),
            starts(found.onset_pa),
            answers(found.soft),
            seconds(self.own_quality_factor / (PI * self.pluck_hz)),
            starts(self.own().and_then(|own| own.onset_pa)),
            significant(found.quality_factor, 2)
        )
    }

    fn row(&self, loss: &WithLoss) -> (bool, Vec<String>) {
        let cells = vec![seconds(loss.ring_down_s), maybe_pressure(loss.onset_pa), answer(loss.soft)];
        (loss.quality_factor == self.own_quality_factor, cells)
    }
}

/// Least and most pressure that starts the reed, where it starts in every row.
fn spread(losses: &[&WithLoss]) -> Option<(f64, f64)> {
    let onsets = losses.iter().map(|loss| loss.onset_pa).collect::<Option<Vec<f64>>>()?;
    let least = onsets.iter().copied().min_by(f64::total_cmp)?;
    let most = onsets.iter().copied().max_by(f64::total_cmp)?;
    Some((least, most))
}
