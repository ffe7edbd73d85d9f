//! The addresses of the page, all of them behind the secret.

use std::sync::Arc;
use std::time::Duration;

use axum::Json;
use axum::Router;
use axum::body::Bytes;
use axum::extract::rejection::JsonRejection;
use axum::extract::{DefaultBodyLimit, Query, State};
use axum::http::StatusCode;
use axum::middleware::from_fn_with_state;
use axum::response::IntoResponse;
use axum::routing::{get, post};
use serde::Deserialize;
use serde_json::json;

use super::address::Address;
use super::answers::{Answer, Refused, bytes, ok, refused};
use super::attempt::{Attempt, Stage, attempt};
use super::bench::Bench;
use super::ear::{self, Piece};
use super::enter::{Reading, Refusal, Work};
use super::gate::{Pace, Turn};
use super::guard::{Guard, guard};
use super::opened::OpenJob;
use super::overview::overview;
use super::set_routes;
use super::shell;
use super::start::Answers;

/// Longest body of a request (bytes).
const LONGEST_BODY: usize = 16 * 1024;
/// So long a request for news is held.
const NEWS_WITHIN: Duration = Duration::from_secs(20);

pub(super) type Of = State<Arc<Bench>>;
/// A body that may not be what was asked for.
pub(super) type Body<T> = Result<Json<T>, JsonRejection>;

/// Every address.
pub(super) fn router(bench: Arc<Bench>, address: &Address) -> Router {
    let at = |path: &str| format!("/{}/{path}", address.secret);
    let mut router = Router::new()
        .route(&at(""), get(shell::document))
        .route(&at("state"), get(state))
        .route(&at("reed"), get(one_reed))
        .route(&at("enter"), post(enter))
        .route(&at("done"), post(work_done))
        .route(&at("undo"), post(undo))
        .route(&at("try"), post(try_it))
        .route(&at("plan"), post(plan))
        .route(&at("hear"), post(hear))
        .route(&at("ear"), post(listen).layer(DefaultBodyLimit::max(ear::LONGEST_PIECE)))
        .route(&at("overtake"), post(overtake))
        .route(&at("ear/stop"), post(stop_listening))
        .route(&at("begin"), post(begin))
        .merge(set_routes::router(&at));
    for (name, kind, text) in shell::ASSETS {
        router = router.route(&at(name), get(move || async move { bytes(kind, text) }));
    }
    router
        .layer(DefaultBodyLimit::max(LONGEST_BODY))
        .layer(from_fn_with_state(Guard::of(address), guard))
        .with_state(bench)
}

/// A body, or what is wrong with it.
pub(super) fn body<T>(body: Body<T>) -> Result<T, Refused> {
    body.map(|Json(body)| body).map_err(|why| Refused::new(why.status(), why.body_text()))
}

/// Computes on a thread for it, behind the gate.
pub(super) async fn computed<T: Send + 'static>(
    bench: &Arc<Bench>,
    pace: Pace,
    turn: Option<&Turn>,
    compute: impl FnOnce(&Bench) -> T + Send + 'static,
) -> Result<T, axum::response::Response> {
    let permit = bench.gate.enter(pace, turn).await.map_err(IntoResponse::into_response)?;
    let on = bench.clone();
    let computed = tokio::task::spawn_blocking(move || {
        let computed = compute(&on);
        drop(permit);
        computed
    });
    computed.await.map_err(|_| refused(StatusCode::INTERNAL_SERVER_ERROR, "this could not be computed"))
}

#[derive(Deserialize)]
struct Seen {
    seen: Option<u64>,
}

/// What is open, as soon as it is other than what was seen.
async fn state(State(bench): Of, Query(Seen { seen }): Query<Seen>) -> Answer {
    if let Some(seen) = seen {
        bench.news(seen, NEWS_WITHIN).await;
    }
    let news = bench.newest();
    Ok(ok(bench.look(|opened| overview(opened, news))))
}

#[derive(Deserialize)]
pub(super) struct Which {
    #[serde(default)]
    pub(super) id: String,
}

/// What is told of a reed; only its name where it cannot be solved.
async fn one_reed(State(bench): Of, Query(Which { id }): Query<Which>) -> Answer {
    Ok(ok(bench.look(|opened| super::reed::reed(opened, &id)).unwrap_or_else(|| json!({ "id": id }))))
}

/// Changes the job that is open, and answers with the page as it is then.
async fn changed(
    bench: Arc<Bench>,
    change: impl FnOnce(&mut OpenJob) -> Result<(), Refusal> + Send + 'static,
) -> Answer {
    let changed = computed(&bench, Pace::Quick, None, move |bench| {
        bench.change(|opened| {
            let open = opened.job_mut().ok_or_else(|| Refusal::Cannot("no job is open".to_owned()))?;
            change(open)
        })
    });
    changed.await?.map_err(IntoResponse::into_response)?;
    let news = bench.newest();
    Ok(ok(bench.look(|opened| overview(opened, news))))
}

async fn enter(State(bench): Of, reading: Body<Reading>) -> Answer {
    let (reading, today) = (body(reading)?, (bench.today)());
    changed(bench, move |open| open.enter(today, &reading)).await
}

async fn work_done(State(bench): Of, work: Body<Work>) -> Answer {
    let (work, today) = (body(work)?, (bench.today)());
    changed(bench, move |open| open.work_done(today, &work)).await
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Newest {
    number: u64,
}

async fn undo(State(bench): Of, newest: Body<Newest>) -> Answer {
    let Newest { number } = body(newest)?;
    changed(bench, move |open| open.undo(number)).await
}

async fn try_it(State(bench): Of, asked: Body<Attempt>) -> Answer {
    let asked = body(asked)?;
    let pace = match asked.stage {
        Stage::Quick => Pace::Quick,
        Stage::Window | Stage::Settled => Pace::Steady,
        Stage::Curves | Stage::Sure => Pace::Resting,
    };
    let turn = asked.turn.clone();
    let found = computed(&bench, pace, Some(&turn), move |bench| attempt(bench, &asked)).await?;
    found.map(ok).map_err(IntoResponse::into_response)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Change {
    id: String,
    set: Vec<(String, String)>,
}

async fn plan(State(bench): Of, asked: Body<Change>) -> Answer {
    let Change { id, set } = body(asked)?;
    let found = computed(&bench, Pace::Resting, None, move |bench| super::plan::plans(bench, &id, &set)).await?;
    found.map(ok).map_err(IntoResponse::into_response)
}

async fn hear(State(bench): Of, asked: Body<Change>) -> Answer {
    let Change { id, set } = body(asked)?;
    let found = computed(&bench, Pace::Resting, None, move |bench| super::sounds::sounds(bench, &id, &set)).await?;
    found.map(|wav| bytes("audio/wav", wav)).map_err(IntoResponse::into_response)
}

/// A piece of sound from a microphone: told at once what is heard.
async fn listen(State(bench): Of, Query(piece): Query<Piece>, bytes: Bytes) -> Answer {
    let told = computed(&bench, Pace::Quick, None, move |bench| ear::hear(bench, &piece, &bytes)).await?;
    told.map(ok).map_err(IntoResponse::into_response)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Listener {
    listener: u64,
}

async fn stop_listening(State(bench): Of, listener: Body<Listener>) -> Answer {
    ear::stop(&bench, body(listener)?.listener);
    Ok(ok(json!({})))
}

/// What this window asked for before is not wanted any more.
async fn overtake(State(bench): Of, turn: Body<Turn>) -> Answer {
    bench.gate.note(&body(turn)?);
    Ok(ok(json!({})))
}

async fn begin(State(bench): Of, answers: Body<Answers>) -> Answer {
    let (answers, today) = (body(answers)?, (bench.today)());
    let begun =
        computed(&bench, Pace::Quick, None, move |bench| bench.change(|opened| opened.begin(&answers, today))).await?;
    let folder = begun.map_err(|why| refused(StatusCode::BAD_REQUEST, why))?;
    bench.keep_address();
    Ok(ok(json!({ "folder": folder })))
}
