//! A balanced set as JSON, as a CSV table, and its findings in words.

use serde_json::{Map, Value, json};

use super::json;
use crate::instrument::balance::{Balance, Bend, NoGap, ReedBalance, Room, Setting, Verdict};
use crate::physics::coefficients::MODEL_VERSION;
use crate::sheet::{Job, RowError};
use crate::units;

/// All of it; gaps in m, rooms as ratios of pressures.
pub fn to_json(job: &Job, balance: &Balance) -> Map<String, Value> {
    let reeds: Vec<Value> = balance.reeds.iter().map(entry).collect();
    json::object(json!({
        "model_version": MODEL_VERSION,
        "reeds": reeds,
        "set": {
            "instrument": job.instrument,
            "failed_rows": balance.errors().filter(|row| !row.not_measured()).count(),
            "not_measured": balance.errors().filter(|row| row.not_measured()).count(),
            "feeler_m": balance.step_m,
            "smooth": balance.smooth,
            "now": balance.now,
            "alone": balance.alone,
            "wanted": balance.wanted,
            "assumed": job.assumed,
            "notes": job.notes,
        },
    }))
}

fn entry(entry: &Result<ReedBalance, RowError>) -> Value {
    let reed = match entry {
        Ok(reed) => reed,
        Err(error) => {
            return json!({
                "id": error.id,
                "line": error.line,
                "error": error.to_string(),
                "problems": error.error.problems,
            });
        }
    };
    let no_gap = match reed.verdict {
        Verdict::NoGap(why) => Some(json!({ "sentence": why.sentence(reed), "cure": why.cure() })),
        Verdict::Leave | Verdict::Regap => None,
    };
    json!({
        "id": reed.id,
        "note": reed.note.to_string(),
        "breath": reed.breath,
        "slide": reed.slide,
        "soft_pa": reed.goal.soft_pa,
        "hard_pa": reed.goal.hard_pa,
        "time_allowed_s": reed.goal.demand.allowed_s,
        "now": reed.now,
        "looked_for": reed.looked_for,
        "alone": reed.alone,
        "wanted": reed.wanted,
        "change_m": reed.change_m(),
        "bend": reed.bend,
        "verdict": reed.verdict.kind(),
        "no_gap_suits": no_gap,
    })
}

/// The gap that the set gives a reed, and what it leaves.
pub fn best(reed: &ReedBalance) -> Value {
    json!({
        "gap_m": reed.wanted.gap_m,
        "soft_pa": reed.goal.soft_pa,
        "hard_pa": reed.goal.hard_pa,
        "room": reed.wanted.room,
        "room_now": reed.now.room,
    })
}

impl Verdict {
    /// A word or two for programs; it stays the same.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Leave => "leave",
            Self::Regap => "regap",
            Self::NoGap(_) => "no gap suits",
        }
    }
}

impl NoGap {
    /// What is wrong, as a sentence without its point.
    pub fn sentence(&self, reed: &ReedBalance) -> String {
        match self {
            Self::OutOfReach(gap_m) => format!(
                "{} would suit, but one bend safely leads to {} at best",
                units::metres(*gap_m),
                units::metres(reed.alone.gap_m)
            ),
            Self::Fault(cause) => format!("{}: {}", fails(reed), cause.phrase()),
        }
    }

    /// What to do about it.
    pub fn cure(&self) -> &'static str {
        match self {
            Self::OutOfReach(_) => "bend it so far, measure, then balance again",
            Self::Fault(cause) => cause.cure(),
        }
    }
}

/// How a reed fails at its best gap.
pub(super) fn fails(reed: &ReedBalance) -> String {
    let (gap, goal) = (units::metres(reed.alone.gap_m), &reed.goal);
    let at_best = format!("at its best gap, {gap},");
    let Some(room) = reed.alone.room else { return format!("{at_best} it speaks in time at no pressure") };
    let soft = (room.soft < 1.0).then(|| {
        format!(
            "it speaks in time from {}, soft is {}",
            units::pascal(goal.soft_pa / room.soft),
            units::pascal(goal.soft_pa)
        )
    });
    let hard = (room.hard < 1.0).then(|| {
        format!(
            "it speaks in time up to {}, hard is {}",
            units::pascal(goal.hard_pa * room.hard),
            units::pascal(goal.hard_pa)
        )
    });
    let how: Vec<String> = soft.into_iter().chain(hard).collect();
    format!("{at_best} {}", how.join(" and "))
}

/// What is to be done with a reed, in a few words.
pub fn verdict(reed: &ReedBalance) -> String {
    let change = reed.change_m();
    let bent = format!("{} by {}", if change > 0.0 { "open" } else { "close" }, units::metres(change.abs()));
    match reed.verdict {
        Verdict::Leave => "leave".to_owned(),
        Verdict::NoGap(_) => "no gap suits".to_owned(),
        Verdict::Regap if !reed.wanted.suits() => format!("{bent}, then plan again"),
        Verdict::Regap if reed.bend == Bend::EndsBefore => format!("{bent}, as far as one bend goes"),
        Verdict::Regap => bent,
    }
}

/// How much of its own best room a reed gives up for the run: a share; nothing where either is not known.
pub fn given_up(reed: &ReedBalance) -> Option<f64> {
    let both = |setting: Setting| setting.room.map(|room: Room| room.both());
    Some((1.0 - both(reed.wanted)? / both(reed.alone)?).max(0.0))
}

const HEAD: [&str; 16] = [
    "id",
    "note",
    "soft_pa",
    "hard_pa",
    "gap_now_mm",
    "gap_wanted_mm",
    "gap_alone_mm",
    "change_mm",
    "room_soft_now",
    "room_hard_now",
    "room_soft_wanted",
    "room_hard_wanted",
    "room_soft_alone",
    "room_hard_alone",
    "verdict",
    "why",
];

/// One line a reed, for a spreadsheet.
///
/// # Panics
/// Never: the table is written to memory.
pub fn to_csv(balance: &Balance) -> Vec<u8> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(HEAD).expect("memory takes all");
    for entry in &balance.reeds {
        table.write_record(entry.as_ref().map_or_else(bad_row, row)).expect("memory takes all");
    }
    table.into_inner().expect("memory takes all")
}

fn row(reed: &ReedBalance) -> Vec<String> {
    let mm = |metres: f64| format!("{:.3}", 1e3 * metres + 0.0);
    let room = |setting: &Setting| {
        let side = |pick: fn(Room) -> f64| setting.room.map_or(String::new(), |room| format!("{:.2}", pick(room)));
        [side(|room| room.soft), side(|room| room.hard)]
    };
    let mut record = vec![reed.id.clone(), reed.note.to_string()];
    record.extend([reed.goal.soft_pa, reed.goal.hard_pa].map(|pressure| format!("{pressure:.0}")));
    record.extend([reed.now.gap_m, reed.wanted.gap_m, reed.alone.gap_m, reed.change_m()].map(mm));
    record.extend([&reed.now, &reed.wanted, &reed.alone].into_iter().flat_map(room));
    let why = match reed.verdict {
        Verdict::NoGap(why) => format!("{}: {}", why.sentence(reed), why.cure()),
        Verdict::Leave | Verdict::Regap => String::new(),
    };
    record.extend([verdict(reed), why]);
    record
}

fn bad_row(error: &RowError) -> Vec<String> {
    let mut record = vec![String::new(); HEAD.len()];
    record[0] = error.name();
    record[HEAD.len() - 2] = "not balanced".to_owned();
    record[HEAD.len() - 1] = error.to_string();
    record
}
