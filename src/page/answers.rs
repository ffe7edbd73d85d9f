//! Answers: JSON, and what is refused with its reason.

use axum::Json;
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json};

use super::attempt::NoAttempt;
use super::ear::NotHeard;
use super::enter::Refusal;
use super::gate::NotDone;
use super::rehearsal::NotRehearsed;

/// What a request comes to.
pub(super) type Answer = Result<Response, Response>;

/// JSON.
pub(super) fn ok(value: Value) -> Response {
    Json(value).into_response()
}

/// Bytes of a kind.
pub(super) fn bytes(kind: &'static str, bytes: impl Into<Vec<u8>>) -> Response {
    ([(CONTENT_TYPE, kind)], bytes.into()).into_response()
}

/// Bytes of a kind, to be saved under a name.
pub(super) fn file(kind: &'static str, name: &str, bytes: impl Into<Vec<u8>>) -> Response {
    let disposition = format!("attachment; filename=\"{name}\"");
    ([(CONTENT_TYPE, kind.to_owned()), (CONTENT_DISPOSITION, disposition)], bytes.into()).into_response()
}

/// A refusal with its reason.
#[derive(Debug)]
pub(super) struct Refused {
    status: StatusCode,
    why: String,
}

impl Refused {
    pub(super) fn new(status: StatusCode, why: impl Into<String>) -> Self {
        Self { status, why: why.into() }
    }
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        (self.status, Json(json!({ "refused": self.why }))).into_response()
    }
}

impl From<Refused> for Response {
    fn from(refused: Refused) -> Self {
        refused.into_response()
    }
}

/// A refusal with its reason, as an answer.
pub(super) fn refused(status: StatusCode, why: impl Into<String>) -> Response {
    Refused::new(status, why).into_response()
}

/// There is no such thing.
pub(super) fn not_there(what: &str) -> Response {
    refused(StatusCode::NOT_FOUND, format!("there is no such {what}"))
}

/// The set is still being solved.
pub(super) fn not_yet() -> Response {
    (StatusCode::ACCEPTED, Json(json!({ "not_yet": true }))).into_response()
}

impl IntoResponse for NotDone {
    fn into_response(self) -> Response {
        match self {
            Self::Overtaken => (StatusCode::CONFLICT, Json(json!({ "overtaken": true }))).into_response(),
            Self::Busy => refused(StatusCode::SERVICE_UNAVAILABLE, "too much is asked at once; try again"),
        }
    }
}

impl IntoResponse for NoAttempt {
    fn into_response(self) -> Response {
        match self {
            Self::NoSuchReed => not_there("reed, or it is not measured yet"),
            Self::NoKnob(key) => refused(StatusCode::BAD_REQUEST, format!("{key} is nothing that the page turns")),
            Self::Overtaken => NotDone::Overtaken.into_response(),
            Self::Wrong(error) => Refusal::from(&error).into_response(),
        }
    }
}

impl IntoResponse for NotHeard {
    fn into_response(self) -> Response {
        match self {
            Self::Wrong(why) => refused(StatusCode::BAD_REQUEST, why),
            Self::NoSuchReed => not_there("reed"),
            Self::Elsewhere => refused(StatusCode::CONFLICT, "another window listens now; press Listen to listen here"),
        }
    }
}

impl IntoResponse for NotRehearsed {
    fn into_response(self) -> Response {
        match self {
            Self::NotDone(why) => why.into_response(),
            Self::NoSuchPiece => not_there("piece"),
            Self::Wrong(why) => refused(StatusCode::BAD_REQUEST, why),
        }
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let status = if matches!(self, Self::Wrong(_)) { StatusCode::BAD_REQUEST } else { StatusCode::CONFLICT };
        (status, Json(json!({ "refusal": self }))).into_response()
    }
}
