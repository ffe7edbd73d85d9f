//! Who may ask: only a page that this program served, through the name under which it was opened.

use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HOST, HeaderName, HeaderValue, ORIGIN, REFERRER_POLICY,
    X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::address::Address;

/// The page runs its own script and nothing else.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; \
                      media-src 'self' blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
/// Papers and pictures carry their own style, and run nothing.
const POLICY_OF_PAPERS: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; \
                                form-action 'none'; frame-ancestors 'none'";
const SAME_SITE_ONLY: HeaderName = HeaderName::from_static("cross-origin-resource-policy");

/// What a request is held against.
#[derive(Debug, Clone)]
pub(super) struct Guard {
    /// Names under which it is served, with the port.
    hosts: [String; 2],
    secret: String,
}

impl Guard {
    pub(super) fn of(address: &Address) -> Self {
        let hosts = ["127.0.0.1", "localhost"].map(|name| format!("{name}:{}", address.port));
        Self { hosts, secret: address.secret.clone() }
    }

    /// Why a request is refused; nothing where it is ours.
    fn refusal(&self, method: &Method, path: &str, headers: &HeaderMap) -> Option<(StatusCode, &'static str)> {
        let text = |name: HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
        let is_ours = |host: &str| self.hosts.iter().any(|own| own == host);
        if !text(HOST).is_some_and(is_ours) || headers.get_all(HOST).iter().count() != 1 {
            return Some((StatusCode::MISDIRECTED_REQUEST, "this is not the name under which the page is served"));
        }
        let origin = text(ORIGIN).map(|origin| origin.strip_prefix("http://").is_some_and(is_ours));
        let foreign = headers.contains_key(ORIGIN) && origin != Some(true);
        if foreign || (method != Method::GET && origin.is_none()) {
            return Some((StatusCode::FORBIDDEN, "only the page itself may ask"));
        }
        let given = path.trim_start_matches('/').split('/').next().unwrap_or_default();
        (!is_same(given, &self.secret)).then_some((StatusCode::NOT_FOUND, "open the address that freereed printed"))
    }
}

/// Compares in the same time wherever the two differ.
fn is_same(given: &str, secret: &str) -> bool {
    let differ = |(a, b): (u8, u8)| a ^ b;
    given.len() == secret.len() && given.bytes().zip(secret.bytes()).map(differ).fold(0, |all, one| all | one) == 0
}

/// Refuses what is not ours, and says to the browser what an answer may do.
pub(super) async fn guard(State(guard): State<Guard>, request: Request, next: Next) -> Response {
    let refusal = guard.refusal(request.method(), request.uri().path(), request.headers());
    let is_paper = ["/paper/", "/chart/"].iter().any(|part| request.uri().path().contains(part));
    let mut response = match refusal {
        Some((status, why)) => (status, why).into_response(),
        None => next.run(request).await,
    };
    let policy = if is_paper { POLICY_OF_PAPERS } else { POLICY };
    let headers = [
        (CONTENT_SECURITY_POLICY, policy),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (X_FRAME_OPTIONS, "DENY"),
        (REFERRER_POLICY, "no-referrer"),
        (CACHE_CONTROL, "no-store"),
        (SAME_SITE_ONLY, "same-origin"),
    ];
    for (name, value) in headers {
        response.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    response
}
