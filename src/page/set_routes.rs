//! The answers on the set as a whole: its work, gaps, rounds, charts and papers, and a piece of music on it.

use std::sync::Arc;

use axum::Router;
use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, Path, Query, State};
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::routing::{get, post};
use serde::Deserialize;

use super::answers::{Answer, Refused, bytes, file, not_there, not_yet, ok};
use super::bench::Bench;
use super::gate::{NotDone, Pace, Turn};
use super::papers;
use super::rehearsal::{self, Asked, Passage};
use super::routes::{Body, Of, Which, body, computed};
use super::set::{self, Solved};
use crate::instrument::balance::BalanceOptions;

/// Where each of them is answered.
pub(super) fn router(at: &impl Fn(&str) -> String) -> Router<Arc<Bench>> {
    Router::new()
        .route(&at("work"), get(work))
        .route(&at("gaps"), get(gaps))
        .route(&at("rounds"), get(rounds))
        .route(&at("protocol"), get(protocol))
        .route(&at("chart/{name}"), get(chart))
        .route(&at("paper/{name}"), get(paper))
        .route(&at("pieces"), get(pieces))
        .route(&at("rehearse"), post(rehearse).layer(DefaultBodyLimit::max(rehearsal::LONGEST_FILE)))
        .route(&at("rehearse/sound"), post(passage))
}

/// Whose turn a request is, where it can be overtaken.
#[derive(Deserialize)]
struct Whose {
    window: Option<u64>,
    number: Option<u64>,
}

impl Whose {
    fn turn(&self) -> Option<Turn> {
        self.window.zip(self.number).map(|(window, number)| Turn { window, number })
    }
}

/// Computes something of the set once nothing is left to solve.
async fn of_set<T: Send + 'static, E: IntoResponse + Send + 'static>(
    bench: &Arc<Bench>,
    whose: &Whose,
    compute: impl FnOnce(&Bench, &Solved) -> Result<T, E> + Send + 'static,
) -> Result<T, axum::response::Response> {
    let turn = whose.turn();
    let solved = Solved::of(bench, turn.clone()).ok_or_else(not_yet)?;
    let found = computed(bench, Pace::Long, turn.as_ref(), move |bench| compute(bench, &solved)).await?;
    found.map_err(IntoResponse::into_response)
}

async fn work(State(bench): Of, Query(whose): Query<Whose>) -> Answer {
    of_set(&bench, &whose, |bench, solved| Ok::<_, NotDone>(set::work(solved, &*solved.work(bench)?))).await.map(ok)
}

async fn protocol(State(bench): Of, Query(whose): Query<Whose>) -> Answer {
    of_set(&bench, &whose, |_, solved| Ok::<_, NotDone>(set::protocol(solved))).await.map(ok)
}

#[derive(Deserialize)]
struct Smooth {
    smooth: Option<f64>,
}

impl Smooth {
    fn checked(self) -> Result<f64, Refused> {
        let smooth = self.smooth.unwrap_or(BalanceOptions::SMOOTH);
        let within = (0.0..=BalanceOptions::MOST_SMOOTH).contains(&smooth);
        within.then_some(smooth).ok_or_else(|| Refused::new(StatusCode::BAD_REQUEST, BalanceOptions::SMOOTH_WORDS))
    }
}

async fn gaps(State(bench): Of, Query(smooth): Query<Smooth>, Query(whose): Query<Whose>) -> Answer {
    let smooth = smooth.checked()?;
    of_set(&bench, &whose, move |bench, solved| Ok::<_, NotDone>(set::gaps(&*solved.balance(bench, smooth)?)))
        .await
        .map(ok)
}

async fn rounds(State(bench): Of, Query(whose): Query<Whose>) -> Answer {
    of_set(&bench, &whose, |bench, solved| Ok::<_, NotDone>(set::rounds(&*solved.rounds(bench)?))).await.map(ok)
}

async fn chart(
    State(bench): Of,
    Path(name): Path<String>,
    Query(smooth): Query<Smooth>,
    Query(whose): Query<Whose>,
) -> Answer {
    let smooth = smooth.checked()?;
    if !set::CHARTS.contains(&name.as_str()) {
        return Err(not_there("chart"));
    }
    let svg = of_set(&bench, &whose, move |bench, solved| set::chart(bench, solved, &name, smooth)).await?;
    svg.map(|svg| bytes("image/svg+xml", svg)).ok_or_else(|| not_there("chart"))
}

async fn paper(
    State(bench): Of,
    Path(name): Path<String>,
    Query(Which { id }): Query<Which>,
    Query(whose): Query<Whose>,
) -> Answer {
    if name == "protocol.csv" {
        let sheet = of_set(&bench, &whose, |_, solved| Ok::<_, NotDone>(set::protocol_sheet(solved))).await?;
        return Ok(file("text/csv; charset=utf-8", "protocol.csv", sheet));
    }
    let html = match name.as_str() {
        "report" => Some(of_set(&bench, &whose, papers::report).await?),
        "card" => Some(of_set(&bench, &whose, papers::bench_card).await?),
        "booklet" => computed(&bench, Pace::Long, None, move |bench| papers::booklet(bench, &id)).await?,
        _ => None,
    };
    html.map(|html| bytes("text/html; charset=utf-8", html)).ok_or_else(|| not_there("paper"))
}

async fn pieces() -> Answer {
    Ok(ok(rehearsal::pieces()))
}

async fn rehearse(State(bench): Of, Query(asked): Query<Asked>, Query(whose): Query<Whose>, file: Bytes) -> Answer {
    of_set(&bench, &whose, move |bench, solved| rehearsal::piece(bench, solved, &asked, &file)).await.map(ok)
}

async fn passage(State(bench): Of, asked: Body<Passage>) -> Answer {
    let asked = body(asked)?;
    let wav = computed(&bench, Pace::Resting, None, move |bench| rehearsal::passage(bench, &asked)).await?;
    wav.map(|wav| bytes("audio/wav", wav)).ok_or_else(|| not_there("note, or the piece was rehearsed anew"))
}
