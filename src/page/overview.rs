//! The plates as they lie: every reed with its verdict and its cells, and the set in short.

use serde_json::{Map, Value, json};

use super::cells::{cells, columns, unquoted};
use super::opened::{OpenJob, Opened, WhatIsOpen};
use crate::instrument::{MarginOf, ReedAssessment};
use crate::print::in_short::{InShort, Line, Tone};
use crate::print::in_words::in_words;
use crate::print::page::{Mark, ROWS};
use crate::sheet::{Feel, Job, JobReed, Operation, RowError, STARTS, SheetRow, Start, Table};

/// All that the page shows of what is open, one reed's details apart.
pub(super) fn overview(opened: &Opened, news: u64) -> Value {
    let mut all = match &opened.what {
        WhatIsOpen::Nothing { .. } => json!({
            "kind": "nothing",
            "players": STARTS.map(|start| json!({ "name": start.name, "words": start.words, "usual": start == Start::USUAL })),
        }),
        WhatIsOpen::Reed { path, .. } => json!({
            "kind": "reed",
            "name": path.file_name().unwrap_or_default().to_string_lossy(),
        }),
        WhatIsOpen::Job(open) => job(open),
    };
    all["news"] = json!(news);
    all
}

fn job(open: &OpenJob) -> Value {
    let job = &open.job;
    let rows = || job.newest_rows.iter().zip(&job.reeds);
    let reeds: Vec<Value> = rows().filter_map(|(row, reed)| one(open, row.as_ref(), reed)).collect();
    let [quick, sure, all] = open.progress();
    let short = open.set.as_ref().map(|set| {
        let short = InShort::of(job, set);
        let line =
            |line: &Line| json!({ "tone": tone(line.tone), "lead": line.lead.trim(), "text": in_words(&line.text) });
        short.lines().iter().map(line).collect::<Vec<_>>()
    });
    json!({
        "kind": "job",
        "name": job.instrument.name.as_deref().unwrap_or("This set"),
        "tuning": job.instrument.tuning.to_string(),
        "revision": open.revision,
        "trouble": open.trouble.as_ref().map(ToString::to_string),
        "rows": ROWS.map(|(breath, slide)| [breath.name(), slide.name()]),
        "reeds": reeds,
        "columns": columns(),
        "feel": Feel::WORDS.map(|(word, _)| word),
        "operations": Operation::ALL.map(|row| json!({ "name": row.name, "meaning": row.meaning, "minutes": job.rates.minutes(row.operation) })),
        "progress": { "quick": quick, "sure": sure, "all": all },
        "in_short": short,
        "undo": open.journal.newest().map(|(number, entry)| json!({
            "number": number,
            "id": entry.id,
            "cells": entry.cells,
        })),
        "aims": rows().filter_map(|(row, _)| aim(job, row.as_ref()?)).collect::<Vec<_>>(),
        "notes": job.notes,
        "left_out": job.bad_rows().filter(|row| row.still_needs().is_none()).map(ToString::to_string).collect::<Vec<_>>(),
    })
}

/// What the user aims at on a reed by a round, where that was not done yet.
fn aim(job: &Job, row: &SheetRow) -> Option<Value> {
    let id = row.id();
    let newest = job.rounds.iter().rev().filter_map(|round| round.row(&id)?.as_ref().ok());
    let aimed = newest.take_while(|round| round.operation.is_none()).find(|round| !round.aimed.entries().is_empty())?;
    let of = |key: &str| aimed.aimed.get(Table::Reed, key).map(|entry| unquoted(&entry.place.typed()));
    Some(json!({
        "id": id,
        "note": row.note.to_string(),
        "aimed_gap_mm": of("tip_gap_mm"),
        "aimed_pluck_hz": of("measured_pluck_hz"),
    }))
}

fn tone(tone: Tone) -> &'static str {
    match tone {
        Tone::Plain => "plain",
        Tone::Good => "suits",
        Tone::Doubtful => "doubtful",
        Tone::Bad => "fails",
    }
}

/// Of a reed that was not solved yet.
const NOT_SOLVED: Mark = Mark { class: "solving", sign: "\u{2026}", words: "being solved" };

fn one(open: &OpenJob, row: Option<&SheetRow>, reed: &Result<JobReed, RowError>) -> Option<Value> {
    let id = reed.as_ref().map_or_else(|error| error.id.clone(), |reed| Some(reed.id.clone()))?;
    let known = open.assessed(&id);
    let of_reed = |_: &JobReed| known.map_or(NOT_SOLVED, |(assessed, _)| Mark::of(assessed));
    let mark = reed.as_ref().map_or_else(Mark::of_row, of_reed);
    let place: Vec<&str> = id.splitn(3, '-').collect();
    let cells: Map<String, Value> = row
        .map(|row| cells(&open.job, row).into_iter().map(|(name, cell)| (name.to_owned(), json!(cell))).collect())
        .unwrap_or_default();
    Some(json!({
        "id": id,
        "hole": place.first().and_then(|hole| hole.parse::<u32>().ok()),
        "breath": place.get(1),
        "slide": place.get(2),
        "note": row.map(|row| row.note.to_string()),
        "class": mark.class,
        "sign": mark.sign,
        "words": mark.words,
        "far": known.and_then(|(assessed, _)| far(assessed)),
        "sure": known.is_some_and(|(_, sure)| sure),
        "cells": cells,
        "needs": reed.as_ref().err().and_then(RowError::still_needs),
        "wrong": reed.as_ref().err().filter(|error| !error.not_measured() && error.still_needs().is_none()).map(ToString::to_string),
    }))
}

/// How far a reed is within or beyond what is asked of its speaking: "far" beyond, "near" on either side, "ample" within.
fn far(reed: &ReedAssessment) -> Option<&'static str> {
    /// Two thirds more or less than what is asked, as a logarithm.
    const FAR: f64 = 0.5;
    let margins = [MarginOf::Soft, MarginOf::Hard, MarginOf::Time].map(|of| reed.margin(of));
    let least =
        margins.into_iter().flatten().map(|margin| margin.value.unwrap_or(f64::NEG_INFINITY)).reduce(f64::min)?;
    Some(match least {
        least if least < -FAR => "far",
        least if least > FAR => "ample",
        _ => "near",
    })
}
